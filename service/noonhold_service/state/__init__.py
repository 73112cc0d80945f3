"""What one running service has at hand: stations, rigs, caches, counters, the gate."""
