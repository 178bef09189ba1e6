"""Munsell chips of soil and stone as Lab colors, read between the chips of a small table.

Validity: hues of the table, value 2 to 9, chroma 0 to 8. Notation: ASTM D1535 (hue value/chroma, `10YR 5/4`; `N 5`).
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from app.domain.errors import BadValue
from app.domain.palette.color import Lab

CHIP = re.compile(
    r"(\d+(?:\.\d+)?\s*[A-Z]{1,2})\s*(\d+(?:\.\d+)?)\s*/\s*(\d+(?:\.\d+)?)|N\s*(\d+(?:\.\d+)?)\s*/?\s*0?", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Chips:
    """The table: Lab by hue, value and chroma; L* of the neutrals by value. Source stands in the table."""

    hues: Mapping[str, Mapping[int, Mapping[float, Lab]]] = field(default_factory=dict)
    neutral: Mapping[int, float] = field(default_factory=dict)


def chip_lab(text: str, chips: Chips) -> Lab:
    """A chip as Lab in daylight, straight between the nearest chips of its own hue.

    Raises: BadValue on a hue, value or chroma that the table does not hold.
    >>> chip_lab("N 5.5", Chips(neutral={5: 51.0, 6: 61.1}))
    (56.05, 0.0, 0.0)
    """
    found = CHIP.fullmatch(text.strip())
    if found is None:
        raise BadValue(f"“{text}” is no Munsell chip. Type hue value/chroma, such as 10YR 5/4.")
    if found[4]:
        return _neutral(float(found[4]), chips)
    name, value, chroma = found[1].replace(" ", "").upper(), float(found[2]), float(found[3])
    rows = chips.hues.get(name)
    if rows is None:
        raise BadValue(f"The hue {name} is not in the table. It holds {', '.join(chips.hues)} and N.")
    below, above, share = _between(value, sorted(rows), f"value {value:g}")
    low, high = (_in_row(rows[row], row, chroma, chips) for row in (below, above))
    return _mixed(low, high, share)


def _in_row(row: Mapping[float, Lab], value: int, chroma: float, chips: Chips) -> Lab:
    known = {0.0: (chips.neutral[value], 0.0, 0.0), **row}
    below, above, share = _between(chroma, sorted(known), f"chroma {chroma:g} at value {value}")
    return _mixed(known[below], known[above], share)


def _neutral(value: float, chips: Chips) -> Lab:
    below, above, share = _between(value, sorted(chips.neutral), f"N {value:g}")
    low, high = chips.neutral[below], chips.neutral[above]
    return round(low + (high - low) * share, 4), 0.0, 0.0


def _between(asked: float, known: list[Any], words: str) -> tuple[Any, Any, float]:
    """The two rows of a table that lie around what is asked, and how far it lies from the first to the second."""
    if not known or not known[0] <= asked <= known[-1]:
        held = f"it holds {known[0]:g} to {known[-1]:g}" if known else "it is empty"
        raise BadValue(f"The table has no chip of {words}; {held}. Type the color as Lab or hex.")
    below = max(row for row in known if row <= asked)
    above = min(row for row in known if row >= asked)
    return below, above, (asked - below) / (above - below) if above > below else 0.0


def _mixed(low: Lab, high: Lab, share: float) -> Lab:
    first, second, third = (a + (b - a) * share for a, b in zip(low, high, strict=True))
    return first, second, third
