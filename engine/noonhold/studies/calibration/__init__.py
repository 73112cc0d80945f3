"""Calibration: from a field log to a better rig."""
