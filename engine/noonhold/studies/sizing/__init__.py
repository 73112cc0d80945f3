"""Sizing: the smallest battery, array or cooler that is enough."""
