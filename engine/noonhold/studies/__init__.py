"""The questions after the first: compare, size, calibrate, bound, warm up, plan."""
