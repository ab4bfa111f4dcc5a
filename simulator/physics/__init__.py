"""One phenomenon a file: pure array functions that import numpy and scipy only and never one another."""
