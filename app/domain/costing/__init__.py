"""Costing: labor, own hours, overhead, price, range."""
