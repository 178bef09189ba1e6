"""Engineering by trade: one module each, knowing nothing of one another; the registry names what each offers."""
