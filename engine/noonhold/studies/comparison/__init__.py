"""Comparison: a base scenario, what changes, and the order of what matters."""
