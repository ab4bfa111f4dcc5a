"""Prices over the years: how each moves, draws of them, and what a plan brings at drawn prices."""
