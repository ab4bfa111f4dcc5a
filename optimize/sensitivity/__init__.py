"""What a sweep teaches: which factors matter, how much of the spread is theirs, and where two systems tie."""
