"""Sweeps: thousands to millions of scenarios from one file of factors, kept as they are done, and what they teach."""
