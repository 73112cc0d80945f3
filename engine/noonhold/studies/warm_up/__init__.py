"""Warm-up: how soon the cabin is dangerously warm once the cooler stops."""
