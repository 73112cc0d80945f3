"""Weather: the one table every reader fills, the readers, the invented hot day, the catalogue."""
