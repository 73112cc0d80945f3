"""Stepping a rig through time: controls, forcing, thermostat, kernel, record."""
