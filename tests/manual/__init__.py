"""Every command and code cell of the manual, run as it stands on the page."""
