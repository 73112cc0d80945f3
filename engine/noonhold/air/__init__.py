"""Moist air, its saturation and wet bulb, and how air feels."""
