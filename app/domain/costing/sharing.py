"""Cents shared over many cells at once: what `money.share` gives, in columns."""

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from app.domain.money import share

Cents: TypeAlias = NDArray[np.int64]
MOST = int(np.iinfo(np.int64).max)  # products and sums up to this stay exact in 64 bits


def shared(total: int, weights: Cents) -> Cents:
    """`total` cents shared by whole weights (each ≥ 0), by largest remainder, equal remainders by position.

    The same cents as `money.share`; a total of zero, or no weight at all, gives nobody anything.

    >>> shared(100, np.array([1, 1, 1])).tolist()
    [34, 33, 33]
    """
    if total < 0:
        return -shared(-total, weights)
    greatest = int(weights.max(initial=0))
    if not total or not greatest:
        return np.zeros(len(weights), dtype=np.int64)
    if greatest * max(total, len(weights)) > MOST:
        return np.array(share(total, weights.tolist()), dtype=np.int64)
    parts, rest = np.divmod(total * weights, weights.sum())
    left = total - int(parts.sum())
    parts[np.argsort(-rest, kind="stable")[:left]] += 1
    return parts
