"""A better start line, looked for: the pattern shifted along and across, each start laid and counted.

As a good layer would choose: fewest small pieces; then equal cuts on both sides; then fewest units opened. It takes
about a second for a thousand square feet, so it is a task of the worker.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from app.domain.plan.arcs import Point
from app.domain.plan.laying.cutting import Pieces, Units
from app.domain.plan.laying.laid import courses_of, field_of, lay, lay_field
from app.domain.plan.laying.modules import lattice, module_of
from app.domain.plan.laying.pattern import SMALLEST_SHARE, Laying, Unit
from app.domain.plan.laying.starting import Start, to_frame
from app.domain.plan.outline import Outline

STEPS = 6  # shifts along and across: 36 starts, a sixth of the module apart
FEW = 0.05  # small pieces within a twentieth of all cut pieces are as good as equally many


@dataclass(frozen=True, slots=True)
class Counted:
    """One start laid: small pieces, cut units, units opened."""

    small: int
    cut: int
    opened: int


@dataclass(frozen=True, slots=True)
class Found:
    """The best of the starts tried, beside the one chosen at once."""

    start: Start
    counted: Counted
    before: Counted
    tried: int

    @property
    def better(self) -> bool:
        """Whether looking was worth it."""
        return self.counted != self.before


def search_start(
    outline: Outline,
    laying: Laying,
    unit: Unit,
    border_units: tuple[Unit, ...] = (),
    doors: tuple[Point, ...] = (),
) -> Found:
    """The start among those a part of the module apart from the one chosen at once. Raises: as `lay`.

    The direction of the courses stays: it follows the door, the longest edge, or what was set.
    """
    laid = lay(outline, laying, unit, border_units, doors)
    unit = laid.unit
    with np.errstate(all="ignore"):
        field = field_of(outline, courses_of(laying, unit, border_units), laying)
        smallest = SMALLEST_SHARE if laying.smallest is None else laying.smallest
        starts = list(_starts(laid.start, laying, unit))
        tried = [_counted(*lay_field(field, laying.pattern, unit, start), smallest) for start in starts]
    few = max(2, round(FEW * max(one.cut for one in tried)))
    least = min(one.small for one in tried)
    best = min(
        range(len(tried)),
        # the first start is the even one: it holds its own against starts that are as good
        key=lambda place: (tried[place].small > least + few, place > 0, tried[place].opened, tried[place].small),
    )
    if tried[best].small >= tried[0].small and tried[best].opened >= tried[0].opened:
        best = 0
    found, before = tried[best], tried[0]
    return Found(_said(starts[best], found, before, len(tried)), found, before, len(tried))


def _starts(start: Start, laying: Laying, unit: Unit) -> Iterator[Start]:
    module = module_of(laying.pattern, unit)
    steps = lattice(module, unit)
    back = to_frame(-(start.angle + module.turned))
    for across in range(STEPS):
        for along in range(STEPS):
            move = back([along / STEPS * steps.step + across / STEPS * steps.rise])[0]
            yield Start((start.point[0] + float(move[0]), start.point[1] + float(move[1])), start.angle, start.reason)


def _counted(whole: Units, pieces: Pieces, smallest: float) -> Counted:
    return Counted(int((pieces.shares < smallest).sum()), pieces.units, len(whole.corners) + pieces.units)


def _said(start: Start, found: Counted, before: Counted, tried: int) -> Start:
    if found == before:
        words = f"{start.reason}; none of {tried} starts tried is better"
    else:
        words = (
            f"best of {tried} starts tried: small pieces {found.small} in place of {before.small}, "
            f"units {found.opened:,} in place of {before.opened:,}"
        )
    return Start(start.point, start.angle, words)
