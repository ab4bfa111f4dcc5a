"""What a person touches: the command line, its tables and its figures."""
