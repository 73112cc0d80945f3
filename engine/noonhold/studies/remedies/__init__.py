"""Remedies: the smallest single change of the user's own that makes a day hold."""
