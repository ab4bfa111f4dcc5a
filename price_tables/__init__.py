"""Prices and costs as data: every row with unit, currency year, low, high and source."""
