"""What the answers of the studies are made of, for the API description."""
