"""The addresses of the service, one kind of thing a file."""
