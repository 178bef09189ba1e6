"""The command line, command by command; `app.__main__` only starts it."""
