"""Running every rig at every site, block by block, and storing the days."""
