"""What a reader must know about a result, by subject; `warnings` gathers it."""
