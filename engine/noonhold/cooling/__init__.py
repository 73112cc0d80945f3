"""The cooler: stages, performance map, coil."""
