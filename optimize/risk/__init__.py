"""Hazards as chances: draws of what strikes, what the land earns in each, and what they say together."""
