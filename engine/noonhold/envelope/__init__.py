"""Shell, glass, films and air leakage: the cabin network and one implicit step of it."""
