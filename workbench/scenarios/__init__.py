"""Commented scenarios to start from: one template and the numbers of each row layout."""
