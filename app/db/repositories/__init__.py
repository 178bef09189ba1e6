"""Reading and writing rows: plain columns, no objects kept."""
