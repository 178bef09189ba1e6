"""What a formula's result can be: a number with its dimension, a truth, or the literal 0, which has every dimension."""

from enum import Enum

from app.domain.units import RATIO, Dimension


class Special(Enum):
    """What is no dimension: truth, and the literal 0."""

    TRUTH = "true or false"
    ANY = "zero"


Kind = Dimension | Special


def said(kind: Kind) -> str:
    """A kind by its canonical unit: `sq ft`, `lb/cu ft`, `a plain number` (counts and shares)."""
    if isinstance(kind, Special):
        return kind.value
    return unit_text(kind) or "a plain number"


def unit_text(kind: Kind) -> str:
    """The canonical unit of a number of this kind; empty for counts, shares and truths."""
    return "" if isinstance(kind, Special) or kind == RATIO else kind.unit


def square_root(dimension: Dimension) -> Dimension | None:
    """The dimension of a square root; None where an exponent is odd."""
    exponents = (dimension.length, dimension.mass, dimension.hours)
    return None if any(e % 2 for e in exponents) else Dimension(*(e // 2 for e in exponents))
