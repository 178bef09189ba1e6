"""What the office does: one module a process; changes and history; access."""
