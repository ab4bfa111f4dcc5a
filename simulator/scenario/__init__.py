"""The scenario file: its model, its cross-field rules and the reader that finds every problem at once."""
