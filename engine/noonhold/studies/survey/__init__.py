"""Rigs at many stations: one row a station, of its typical year or of a month of it."""
