"""The climate face of the engine: sweeps over many sites, tables, maps, regression."""
