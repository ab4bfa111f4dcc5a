"""Numbers of each species, grass and animal, every one with its unit and source."""
