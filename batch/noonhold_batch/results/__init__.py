"""Reading a result: tables, comparison with a baseline, export."""
