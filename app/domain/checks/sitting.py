"""Checks of seats: built ones are as high as one sits, fires have room for chairs around them."""

from collections.abc import Iterator

from app.domain.basis import Rule
from app.domain.checks.clearances import fires
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, quiet
from app.domain.checks.yard import Yard
from app.domain.findings import Finding
from app.domain.plan.between import to_edge
from app.domain.units import format_length

SEAT = "seat"
LOWEST = "seat-lowest"


def seat_height(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A seat wall is neither too low nor too high to sit on."""
    system = yard.basis.firm.system
    lowest = yard.basis.rules.get(LOWEST)
    runs = {f"run:{run.id}": run for run in yard.job.runs}
    for placed in yard.placed:
        run = runs.get(placed.where)
        if run is None or SEAT not in placed.assembly.key or run.height is None:
            continue
        least = in_feet(lowest) if lowest else 0.0
        if run.height > in_feet(rule) + NEAR or run.height < least - NEAR:
            low = f"{format_length(least, system)} to " if lowest else ""
            yield broken(
                rule,
                placed.where,
                f"{placed.place}: it is {'too high' if run.height > in_feet(rule) else 'too low'} to sit on with ease.",
                measured=format_length(run.height, system),
                limit=f"{low}{format_length(in_feet(rule), system)}" if low else limit_of(rule, system, "at most"),
                remedy="Set its height above the finished surface in front of it.",
            )


def fire_ring(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Around a fire there is room for people and chairs."""
    system = yard.basis.firm.system
    for fire in (*fires(yard, gas=False), *fires(yard, gas=True)):
        outline = yard.outlines.get(fire.feature.zone_id) if fire.feature.zone_id else None
        if fire.middle is None or outline is None:
            continue
        clear = max(0.0, to_edge(outline, fire.middle) - fire.reach)
        if clear < in_feet(rule) - NEAR:
            yield quiet(
                rule,
                fire.placed.where,
                f"{fire.placed.place}: around it there is little room for people and their chairs.",
                measured=f"{format_length(clear, system)} from its edge to the edge of the place",
                remedy=f"{format_length(in_feet(rule), system)} all around lets people pass behind the chairs.",
            )


CHECKS: dict[str, Check] = {"seat-highest": seat_height, "fire-ring": fire_ring}
VALUES = frozenset({LOWEST})
