"""Mutants that change nothing one could notice: module, the line as written, what was changed, and why it is the same."""

SAME: dict[tuple[str, str, str], str] = {}
