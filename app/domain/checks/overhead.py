"""Checks of wires above the yard: trees that grow into them, what reaches up near them, wires of unknown height.

Every wire counts as live, whoever owns it. Nothing is dug for a wire overhead; whoever works near one asks its utility.
"""

from collections.abc import Iterator

import shapely

from app.domain.basis import Rule
from app.domain.checks.digging import ground_of
from app.domain.checks.plants import trees_where_they_stand
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked
from app.domain.checks.walking import Shape
from app.domain.checks.yard import Placed, Yard
from app.domain.findings import Finding
from app.domain.job import OVERHEAD, Existing, Fate
from app.domain.plan.open_lines import fine_points
from app.domain.units import format_length

REACHES_UP = "overhead-lines"  # caution of cranes, pumps, booms, trees taken down, posts and long loads
MACHINES = "machines"
REACH = "overhead-machine-reach"  # the rule that only holds a value
TALL = "overhead-tree-tall"
TALL_FROM = 40.0  # ft grown: such a tree keeps the longer distance
VALUES = frozenset({REACH})


def wires(yard: Yard) -> Iterator[tuple[Existing, Shape]]:
    """Overhead lines that are drawn and stay."""
    for one in yard.job.existing:
        if one.kind == OVERHEAD and one.fate is not Fate.GOES and len(one.points) > 1:
            yield one, shapely.linestrings(fine_points(one.points, one.rises))


def _name(wire: Existing) -> str:
    return wire.title or "the overhead line"


def _trees(least: float, most: float) -> Check:
    """The check of trees that grow between two heights [ft]: how far they stand from a wire."""

    def check(yard: Yard, rule: Rule) -> Iterator[Finding]:
        lines, system = list(wires(yard)), yard.basis.firm.system
        for row in trees_where_they_stand(yard) if lines else ():
            high = row.plant.height[1] if row.plant else 0.0
            if not least < high <= most:
                continue
            ways = ((line.distance(shapely.points(at)), _name(wire)) for wire, line in lines for at in row.points)
            near, name = min(ways, default=(float("inf"), ""))
            if near < in_feet(rule) - NEAR:
                yield broken(
                    rule,
                    f"planting:{row.planting.id}",
                    f"{row.title} grows {format_length(high, system)} high, {format_length(near, system)} from {name}.",
                    measured=format_length(near, system),
                    limit=limit_of(rule, system, "at least"),
                    remedy="Plant a lower tree there, or this one further away; the utility says what it allows.",
                )

    return check


def near_wires(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """What reaches up (a crane, a pump, posts, a tree taken down) keeps well away from every wire."""
    for placed, wire, away in _beside(yard, REACHES_UP):
        if away < in_feet(rule) - NEAR:
            system = yard.basis.firm.system
            yield broken(
                rule,
                placed.where,
                f"{placed.place}, {placed.title}: {format_length(away, system)} from {_name(wire)}. It is live.",
                measured=format_length(away, system),
                limit=limit_of(rule, system, "at least"),
                remedy="Ask the utility before the day: to switch it off, cover it, or say how near is allowed.",
            )


def under_wires(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A machine below a wire keeps its distance with its arm up."""
    reach, system = yard.basis.rules.get(REACH), yard.basis.firm.system
    for placed, wire, away in _beside(yard, MACHINES):
        if REACHES_UP in yard.cautions(placed) or reach is None:
            continue  # said by the other rule
        wanted = in_feet(rule) + in_feet(reach)
        low = wire.height is not None and wire.height < wanted - NEAR
        high = format_length(wire.height or 0.0, system)
        if low and away < in_feet(rule) - NEAR:
            yield broken(
                rule,
                placed.where,
                f"{placed.place}: {_name(wire)} hangs {high} high over the machines.",
                measured=f"{high} high, {format_length(away, system)} beside",
                limit=f"{format_length(wanted, system)} high or {format_length(in_feet(rule), system)} beside",
                remedy="A spotter who does nothing else, a low machine, or by hand; ask the utility to switch it off.",
            )


def how_high(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Each wire says how high it hangs; one that is not drawn says where it runs."""
    for one in yard.job.existing:
        if one.kind != OVERHEAD or one.fate is Fate.GOES:
            continue
        lacks = "its way" if len(one.points) < 2 else "its height" if one.height is None else ""
        if lacks:
            yield not_checked(
                rule,
                f"existing:{one.id}",
                f"{_name(one).capitalize()}: {lacks} is not known, so what comes near it was not checked.",
                missing=lacks,
                remedy="Draw it, and type the height the utility says. Never measure a wire with tape or pole.",
            )


def only_its_utility(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A wire that goes or moves is its utility's work."""
    for one in yard.job.existing:
        if one.kind == OVERHEAD and one.fate in {Fate.GOES, Fate.MOVES}:
            yield broken(
                rule,
                f"existing:{one.id}",
                f"{_name(one).capitalize()} is to be taken down or moved: only its utility does that.",
                measured=one.fate.value,
                limit="the utility's own work",
                remedy="Ask the utility for a day and a price, and put both into the job; until then it is live.",
            )


def _beside(yard: Yard, caution: str) -> Iterator[tuple[Placed, Existing, float]]:
    """Works with a caution where they lie, the nearest wire and how far it runs beside them [ft]."""
    lines = list(wires(yard))
    for placed in yard.placed if lines else ():
        if caution not in yard.cautions(placed):
            continue
        shape = _there(yard, placed)
        if shape is not None:
            away, at = min((line.distance(shape), place) for place, (_, line) in enumerate(lines))
            yield placed, lines[at][0], away


def _there(yard: Yard, placed: Placed) -> Shape | None:
    """Where a work is done: on its ground, or on the thing that is there."""
    if not placed.where.startswith("existing:"):
        return ground_of(yard, placed)
    thing = next((one for one in yard.job.existing if f"existing:{one.id}" == placed.where), None)
    if thing is None or thing.x is None or thing.y is None:
        return None
    return shapely.points((thing.x, thing.y)).buffer((thing.spread or 0.0) / 2)


CHECKS: dict[str, Check] = {
    "overhead-tree": _trees(25.0, TALL_FROM),
    TALL: _trees(TALL_FROM, float("inf")),
    "overhead-near": near_wires,
    "overhead-machine": under_wires,
    "overhead-height": how_high,
    "overhead-utility": only_its_utility,
}
