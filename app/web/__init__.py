"""The browser side: routes, forms, errors, rendering."""
