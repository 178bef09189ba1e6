"""What digging meets: roots of trees that stay, trenches people go down into, walls above walls, soil laid bare."""

from collections.abc import Iterator
from itertools import combinations
from math import pi, sqrt

import shapely

from app.domain.basis import Rule
from app.domain.checks.hazards import places_named
from app.domain.checks.levels import HOLDS
from app.domain.checks.regions import DIG, region_of, rule_in, said_unreviewed
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked, quiet
from app.domain.checks.walking import Shape, line_of, shape_of
from app.domain.checks.yard import Placed, Yard
from app.domain.findings import Finding
from app.domain.job import OVERHEAD, UTILITIES, Existing, Fate
from app.domain.plan.arcs import Point
from app.domain.plan.measures import area, centroid
from app.domain.takeoff.drawn import of_existing
from app.domain.units import format_area, format_length

OPEN = "open-excavation"  # caution of what people may go down into
WAY_OUT = "trench-way-out"
LIMIT = "wall-height"
VALUES = frozenset({WAY_OUT})
MARKED = frozenset(UTILITIES) - {"survey", "proposed"}  # utilities whose marks are dug beside by hand
NOTHING = shapely.union_all([])


def dig_in_roots(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Digging stays out of the roots of trees that stay: so many times the trunk, else below the crown."""
    system = yard.basis.firm.system
    trees = [one for one in yard.job.existing if one.kind == "tree" and one.fate in {Fate.STAYS, Fate.PROTECTED}]
    digging = yard.digs() if trees else ()
    shapes = [(one, shape) for one in digging if (shape := ground_of(yard, one)) is not None]
    for tree in trees if shapes else ():
        name = tree.title or "The tree"
        radius, at = _roots(yard, tree, rule.value), _trunk(tree)
        if at is None or radius is None:
            lacks = "its place" if at is None else "its trunk or crown"
            yield not_checked(
                rule,
                f"existing:{tree.id}",
                f"{name}: whether anything is dug in its roots cannot be checked, {lacks} is not known.",
                missing=lacks,
                remedy="Type where it stands and how wide its crown is; fencing its roots asks for the trunk.",
            )
            continue
        trunk = shapely.points(at)
        near, one = min(((shape.distance(trunk), one) for one, shape in shapes), key=lambda pair: pair[0])
        if near < radius - NEAR:
            yield broken(
                rule,
                f"existing:{tree.id}",
                f"{one.place} is dug {'within the roots of' if near else 'where'} {name}{'' if near else ' stands'}.",
                measured=f"{format_length(near, system)} from the trunk to {one.place}",
                limit=f"at least {format_length(radius, system)}",
                remedy="Move it out, dig by hand or with air there, and have an arborist see what is cut.",
            )


def _roots(yard: Yard, tree: Existing, times: float) -> float | None:
    """How far the roots of a tree reach that are kept [ft]; None where neither trunk nor crown is known."""
    trunks = (yard.parameter(one, "trunk") for one in yard.on(f"existing:{tree.id}"))
    trunk = next((one for one in trunks if one), None)
    if trunk:
        return trunk * times
    if tree.outline is not None:
        return sqrt(area(tree.outline) / pi)
    return tree.spread / 2 if tree.spread else None


def _trunk(tree: Existing) -> Point | None:
    """Where a tree stands: its place, else the middle of its crown."""
    if tree.x is not None and tree.y is not None:
        return tree.x, tree.y
    return centroid(tree.outline) if tree.outline is not None else None


def ground_of(yard: Yard, placed: Placed) -> Shape | None:
    """The ground where a work digs; None where it is not on the plan."""
    kind, _, key = placed.where.partition(":")
    if kind == "zone" and placed.zone is not None:
        outline = yard.outlines.get(placed.zone.id)
        return shape_of(outline) if outline is not None else None
    if kind == "run":
        run = next((one for one in yard.job.runs if str(one.id) == key), None)
        return line_of(run) if run is not None and len(run.points) > 1 else None
    if kind == "feature":
        thing = next((one for one in yard.job.features if str(one.id) == key), None)
        if thing is not None and thing.x is not None and thing.y is not None:
            return shapely.points((thing.x, thing.y))
    return None


def dig_by_hand(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Beside the mark of a line that lies there, digging is by hand: as far off as the place asks."""
    named, system = region_of(yard.job, yard.basis.firm), yard.basis.firm.system
    held = rule_in(yard.basis, DIG, named)
    rule = said_unreviewed(held, named) if held else rule
    marked = [one for one in yard.job.existing if one.utility in MARKED and one.kind != OVERHEAD]
    lines = [(one, shape) for one in marked if (shape := _lies(one)) is not None]
    digging = [(one, shape) for one in yard.digs() if (shape := ground_of(yard, one)) is not None] if lines else []
    for line, shape in lines:
        near = tuple(one for one, ground in digging if ground.distance(shape) < in_feet(rule) - NEAR)
        if near:
            within, met = format_length(in_feet(rule), system), places_named(near)
            yield quiet(
                rule,
                f"existing:{line.id}",
                f"{line.title or UTILITIES[line.utility]}: by hand within {within} of its mark on either side ({met}).",
                measured=f"{met} within {within}",
                remedy="No machine there before the line is seen. Marks are approximate, and private lines carry none.",
            )


def _lies(line: Existing) -> Shape | None:
    """Where a line lies in the ground, or the thing it is; None where it is not drawn."""
    return line_of(line) if len(line.points) > 1 else of_existing(line, NOTHING)


def deep_trench(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """What people go down into has a way out from one depth on, and its sides are held from another."""
    system, out = yard.basis.firm.system, yard.basis.rules.get(WAY_OUT)
    for placed in yard.placed:
        if OPEN not in yard.cautions(placed):
            continue
        deep = yard.parameter(placed, "depth") or (yard.parameter(placed, "deep") or 0.0) + (
            yard.parameter(placed, "cover") or 0.0
        )
        held = deep >= in_feet(rule) - NEAR
        if not held and (out is None or deep < in_feet(out) - NEAR):
            continue
        asks = rule if held or out is None else out
        words = (
            "nobody goes down before its sides are held"
            if held
            else "it wants a ladder or another way out within 25 ft"
        )
        yield broken(
            asks,
            placed.where,
            f"{placed.place}, {placed.title}: {words}; a competent person looks at it every day.",
            measured=f"{format_length(deep, system)} deep",
            limit=limit_of(asks, system, "less than"),
            remedy="Name here how its sides are held and who looks at it, or dig less deep.",
        )


def wall_tiers(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A wall close above another counts as one with it, unless somebody designed them."""
    system, most = yard.basis.firm.system, yard.basis.rules.get(LIMIT)
    runs = {f"run:{one.id}": one for one in yard.job.runs if len(one.points) > 1 and one.height}
    walls = [
        (placed, runs[placed.where])
        for placed in yard.placed
        if placed.where in runs and HOLDS in placed.assembly.parameters and not _designed(yard, placed.where)
    ]
    for (one, own), (other, below) in combinations(walls, 2):
        high, both = max(own.height or 0.0, below.height or 0.0), (own.height or 0.0) + (below.height or 0.0)
        apart = line_of(own).distance(line_of(below))
        if both > (in_feet(most) if most else 0.0) + NEAR and apart < rule.value * high - NEAR:
            yield broken(
                rule,
                one.where,
                f"{one.place} and {other.place} stand close enough to count as one wall.",
                measured=f"{format_length(apart, system)} apart, {format_length(both, system)} together",
                limit=f"at least {format_length(rule.value * high, system)} apart",
                remedy="Set them further apart, or have an engineer design them and the town permit them.",
            )


def _designed(yard: Yard, where: str) -> bool:
    return any("engineer" in trade for one in yard.on(where) for trade in yard.trades(one))


def soil_bare(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """So much ground laid bare wants a permit for its runoff."""
    digging = {one.zone.id for one in yard.digs() if one.zone is not None and one.where.startswith("zone:")}
    ground = sum(area(yard.outlines[key]) for key in digging if key in yard.outlines)
    if ground >= rule.value - NEAR:
        system = yard.basis.firm.system
        yield broken(
            rule,
            "job",
            "So much soil is laid bare that a permit for its runoff is asked for.",
            measured=format_area(ground, system),
            limit=f"less than {format_area(rule.value, system)}",
            remedy="Ask the state's office for construction runoff; list the permit on the Phases sheet.",
        )


CHECKS: dict[str, Check] = {
    "dig-in-roots": dig_in_roots,
    DIG: dig_by_hand,
    "deep-trench": deep_trench,
    "wall-tiers": wall_tiers,
    "soil-bare": soil_bare,
}
