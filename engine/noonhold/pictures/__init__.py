"""Pictures of what the engine found, for the service and the batch alike: arrays in, bytes out."""
