"""What must be opened later can be reached: valves, pumps, clean-outs, transformers, shut-offs in a counter."""

from collections.abc import Iterator, Mapping

import shapely

from app.domain.basis import Rule
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked
from app.domain.checks.walking import Shape, half_depth, line_of, obstacles, shape_of
from app.domain.checks.yard import Placed, Yard
from app.domain.findings import Finding
from app.domain.job import VALVE, Fate, Feature, Run, RunKind
from app.domain.plan.between import contains
from app.domain.takeoff.measures import zone_title
from app.domain.units import format_length

# what is opened later, by the role of the part it is; those that bring their own lid or grate lie open by themselves
OPENED: Mapping[str, str] = {
    "valve": "a valve",
    "fountain pump": "a pump",
    "transformer": "a transformer",
    "backflow device": "a backflow device",
    "dry-well chamber": "a dry well",
}
LIDS = frozenset({"basin grate"})
ABOVE = frozenset({"transformer", "backflow device"})  # hang on a wall or stand in a box: paving below is no matter
IN_COUNTER = frozenset({"appliance", "transformer", "outlet"})  # what is connected behind the face of a counter
CLEANOUT = "cleanout"
UTILITY_LIDS = frozenset({"sewer", "water", "gas", "electric", "communication"})  # utilities with a lid at a point
Point = tuple[float, float]


def _opened(yard: Yard) -> Iterator[tuple[Placed, Feature, str, str]]:
    """Things with a part that is opened later: the work, the thing, the role and its words."""
    features = {f"feature:{one.id}": one for one in yard.job.features}
    for placed in yard.placed:
        thing = features.get(placed.where)
        if thing is not None:
            roles = {part.role for part in yard.parts(placed)}
            role = next((one for one in OPENED if one in roles), None)
            if role is not None:
                yield placed, thing, "" if roles & LIDS else role, OPENED[role]


def under_paving(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Nothing that is opened later lies below a finished hard surface without a lid of its own."""
    for placed, thing, role, words in _opened(yard):
        if role in ABOVE or not role:
            continue
        if thing.x is None or thing.y is None:
            yield not_checked(
                rule,
                placed.where,
                f"{placed.place}: whether it can be opened later cannot be checked, it has no place on the plan.",
                missing="place",
                remedy="Type how far right of and in front of the datum it lies.",
            )
            continue
        yield from _covered(yard, rule, placed.where, (f"{placed.place} ({words})", (thing.x, thing.y)))
    for one in yard.job.existing:
        lid = one.utility in UTILITY_LIDS or (one.kind == VALVE and one.fate is not Fate.GOES)
        if lid and one.x is not None and one.y is not None and len(one.points) < 2:
            yield from _covered(yard, rule, f"existing:{one.id}", (one.title or "A lid", (one.x, one.y)))
    yield from _cleanouts(yard, rule)


def _covered(yard: Yard, rule: Rule, where: str, lid: tuple[str, Point]) -> Iterator[Finding]:
    words, at = lid
    for zone_id in yard.hard:
        outline = yard.outlines.get(zone_id)
        if outline is not None and contains(outline, at):
            over = zone_title(yard.zones[zone_id])
            yield broken(
                rule,
                where,
                f"{words} lies below {over}: to open it, the surface comes up.",
                measured=f"below {over}",
                limit="a lid that opens, or beside the surface",
                remedy="Move it beside the surface, or have a lid set flush in the surface and say so here.",
            )


def _cleanouts(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Drains with a clean-out all of which lies below hard surfaces."""
    runs = {f"run:{one.id}": one for one in yard.job.runs if one.kind is RunKind.DRAIN and len(one.points) > 1}
    for placed in yard.placed:
        run = runs.get(placed.where)
        if run is None or not any(part.role == CLEANOUT for part in yard.parts(placed)):
            continue
        line = line_of(run)
        over = [key for key in yard.hard if key in yard.outlines]
        shapes = [shape_of(yard.outlines[key]) for key in over]
        touched = [zone_title(yard.zones[key]) for key, one in zip(over, shapes, strict=True) if one.intersects(line)]
        if touched and line.difference(shapely.union_all(shapes)).length < in_feet(rule) - NEAR:
            yield broken(
                rule,
                placed.where,
                f"{placed.place} has its clean-out below {' and '.join(touched)}: it cannot be opened.",
                measured=f"all of it below {' and '.join(touched)}",
                limit="a clean-out that opens",
                remedy="Lead one end out of the surface, or have a lid set flush in it and say so here.",
            )


def room_to_open(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Beside what is opened later there is room to get at it."""
    system = yard.basis.firm.system
    for placed, thing, _, words in _opened(yard):
        if thing.x is None or thing.y is None or thing.zone_id is None:
            continue
        place = shapely.points((thing.x, thing.y))
        near = [
            (one.shape.distance(place), one.words)
            for one in obstacles(yard)
            if one.where not in {placed.where, f"zone:{thing.zone_id}"} and not one.where.startswith("zone:")
        ]
        clear, by = min(near, default=(in_feet(rule), ""))
        if clear < in_feet(rule) - NEAR and not _in_counter(yard, place):
            yield broken(
                rule,
                placed.where,
                f"{placed.place}: {by} stands before {words}.",
                measured=f"{format_length(clear, system)} to {by}",
                limit=limit_of(rule, system, "at least"),
                remedy="Move one of the two, so that a hand and a wrench get in.",
            )


def behind_counter(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A counter with something connected in it has a door to get at it."""
    for run in yard.job.runs:
        for counter in yard.on(f"run:{run.id}"):
            if counter.assembly.group != "cooking" or "doors" not in counter.assembly.parameters:
                continue
            inside = list(_inside(yard, run))
            doors = yard.parameter(counter, "doors") if inside else None
            if inside and doors is not None and doors < rule.value - NEAR:
                names = ", ".join(dict.fromkeys(inside))
                yield broken(
                    rule,
                    counter.where,
                    f"{counter.place} has no door: shut-offs and connections of {names} cannot be reached.",
                    measured=f"{doors:.0f} doors, {names}",
                    limit=limit_of(rule, yard.basis.firm.system, "at least"),
                    remedy="Give it a door at the connections; the licensed trade says where a shut-off must be.",
                )


def _inside(yard: Yard, counter: Run) -> Iterator[str]:
    """What is connected in a counter."""
    if len(counter.points) < 2:
        return
    line, deep = line_of(counter), half_depth(yard, counter)
    for one in yard.job.features:
        works = yard.on(f"feature:{one.id}")
        wired = any(part.role in IN_COUNTER for placed in works for part in yard.parts(placed))
        known = wired and one.x is not None and one.y is not None
        if known and line.distance(shapely.points((one.x, one.y))) <= deep + NEAR:
            yield one.title or "a thing in it"


def _in_counter(yard: Yard, place: Shape) -> bool:
    """Whether a place lies in a counter, where a door answers."""
    for run in yard.job.runs:
        deep = half_depth(yard, run) if any(one.assembly.group == "cooking" for one in yard.on(f"run:{run.id}")) else 0
        if deep and len(run.points) > 1:
            line = line_of(run)
            if line.distance(place) <= deep + NEAR:
                return True
    return False


CHECKS: dict[str, Check] = {
    "open-under-paving": under_paving,
    "room-to-open": room_to_open,
    "counter-door": behind_counter,
}
