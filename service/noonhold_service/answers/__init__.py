"""From results of the library to the documents that are sent."""
