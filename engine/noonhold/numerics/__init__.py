"""How functions are compiled, vectorised and kept within a time limit."""
