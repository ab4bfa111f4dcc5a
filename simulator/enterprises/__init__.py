"""What the land sells: wood, hay, grazing and straw, as quantities."""
