"""A result as a map."""
