"""Studies at every site of a folder."""
