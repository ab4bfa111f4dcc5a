"""One phenomenon a file: pure array functions that import numpy only and never one another."""
