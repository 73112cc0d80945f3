"""Plan: set points, stages and driving hours of one day that keep most charge."""
