"""One-line changes of the physics, each of which some test must notice."""
