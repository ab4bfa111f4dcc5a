"""One command a file; each imports what it needs inside its body so that help answers at once."""
