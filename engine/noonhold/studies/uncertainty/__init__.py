"""Uncertainty: what a verdict is worth when its inputs are known within ranges."""
