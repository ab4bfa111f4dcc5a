"""Pages that are filled in."""
