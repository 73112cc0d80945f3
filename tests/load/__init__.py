"""The service under load; run by hand, never by pytest: ``python -m tests.load``."""
