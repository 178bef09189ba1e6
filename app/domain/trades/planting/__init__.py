"""Planting: where plants stand in a bed, what is dug and filled for them, what water they want."""
