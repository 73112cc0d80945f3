"""Starting, checking, serving and stopping the application."""
