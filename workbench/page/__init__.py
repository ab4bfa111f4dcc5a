"""The landowner's page: a small server on the own machine, and a process beside it that computes."""
