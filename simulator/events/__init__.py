"""What happens to the stand and the sward in a year: planting, growth, pruning, thinning, use."""
