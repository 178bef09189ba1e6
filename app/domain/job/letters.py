"""Letters of zones: each has one of its own, by which plan, crew sheet and order list name it."""

from collections.abc import Collection
from string import ascii_uppercase


def first_free(taken: Collection[str]) -> str:
    """The first letter that nothing has: A to Z, then AA, AB and so on.

    >>> first_free({"A", "B", "D"})
    'C'
    """
    singles = iter(ascii_uppercase)
    doubles = (a + b for a in ascii_uppercase for b in ascii_uppercase)
    return next(letter for letter in (*singles, *doubles) if letter not in taken)
