"""What follows once a yard is built: tests, punch list, hand-over, care, as-built, warranty, closing."""
