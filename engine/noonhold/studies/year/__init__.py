"""A whole typical year of a rig at a place."""
