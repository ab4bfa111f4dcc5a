"""Searches over plans: what thinning, rotation and use make the land worth most."""
