"""A room to be furnished."""
