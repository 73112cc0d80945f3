"""Arrays, battery, and the bus between them."""
