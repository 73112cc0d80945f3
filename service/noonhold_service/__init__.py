"""The HTTP face of the engine."""
