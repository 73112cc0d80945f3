"""JSON documents to the frozen dataclasses of the model, and back."""
