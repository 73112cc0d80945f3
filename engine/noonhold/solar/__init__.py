"""Where the sun stands, what it puts on tilted planes, and what shades them."""
