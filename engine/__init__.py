"""The model: functions on arrays and frozen parameters; no web, no command line, no cluster."""
