"""The API description, and the examples that stand in it."""
