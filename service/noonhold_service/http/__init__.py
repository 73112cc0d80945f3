"""Requests and responses as HTTP sees them: bodies, queries, limits, errors, headers."""
