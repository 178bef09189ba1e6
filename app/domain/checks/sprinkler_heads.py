"""Checks of sprinkler heads on the plan: what the new work does to them, their pipes, heads counted twice.

A head that is said to go is asked nothing more; one that is kept safe is kept and set anew, where it stands in soil.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely

from app.domain.basis import Rule
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked
from app.domain.checks.walking import Shape, line_of, obstacles
from app.domain.checks.yard import Yard
from app.domain.findings import Finding
from app.domain.job import SPRINKLERS, Existing, Fate, ZoneKind
from app.domain.takeoff.green import green_of_zone, ground_of_outline, zones_drawn
from app.domain.takeoff.measures import zone_title
from app.domain.takeoff.sprinkled import Sprinkled, SprinklerHead, sprinkled
from app.domain.trades.sprinklers import sector
from app.domain.units import format_area, format_share

PEOPLE = frozenset({ZoneKind.DINING, ZoneKind.LOUNGING, ZoneKind.FIRE, ZoneKind.COOKING})
HOT = frozenset({"fire", "cooking"})  # groups of what stays dry
WET = frozenset({"irrigation", "water"})  # groups of what is made to stand in water
POWER = "electricity"  # caution of what carries power


@dataclass(frozen=True, slots=True)
class _Built:
    """What is built: its ground, in words; `dry`: people, fire, cooking or power are there."""

    words: str
    shape: Shape
    dry: bool


def _built(yard: Yard) -> Iterator[_Built]:
    """What covers the ground or stands on it once the plan is built."""
    for zone, way, outline in zones_drawn(yard.job):
        if not green_of_zone(yard.job, yard.basis, zone, way):
            yield _Built(zone_title(zone), ground_of_outline(outline), zone.kind in PEOPLE)
    for one in obstacles(yard):
        if one.where.startswith(("run:", "feature:")):
            hot = any(placed.assembly.group in HOT for placed in yard.on(one.where))
            yield _Built(one.words, one.shape, hot or _powered(yard, one.where))


def _powered(yard: Yard, where: str) -> bool:
    found = (one for one in yard.on(where) if one.assembly.group not in WET)
    return any(POWER in yard.cautions(placed) for placed in found)


def _dry_points(yard: Yard) -> Iterator[_Built]:
    """What carries power, burns or cooks at a point or along a line, where nothing says how large it is."""
    for thing in yard.job.features:
        where = f"feature:{thing.id}"
        if thing.x is None or thing.y is None:
            continue
        if any(one.assembly.group in HOT for one in yard.on(where)) or _powered(yard, where):
            yield _Built(thing.title or "a thing", shapely.points((thing.x, thing.y)), True)
    for run in yard.job.runs:
        if len(run.points) > 1 and any(one.assembly.group in HOT for one in yard.on(f"run:{run.id}")):
            yield _Built(run.title or str(run.kind), line_of(run), True)


def _of(yard: Yard) -> Sprinkled | None:
    return sprinkled(yard.job, yard.basis)


def _later(found: Sprinkled) -> Iterator[tuple[SprinklerHead, tuple[float, float]]]:
    """Heads with where they stand once the plan is built, where that is known."""
    for head in found.heads:
        at = head.stands_later
        if at is not None:
            yield head, at


def _covering(built: Sequence[_Built], at: tuple[float, float], near: float) -> _Built | None:
    point = shapely.points(at)
    return next((one for one in built if one.shape.distance(point) < near - NEAR), None)


def under_work(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Heads stand in open ground once the plan is built."""
    found = _of(yard)
    built = list(_built(yard)) if found else []
    for head, at in _later(found) if found else ():
        over = _covering(built, at, in_feet(rule))
        if over is not None:
            moved = head.fate is Fate.MOVES
            yield broken(
                rule,
                head.where,
                f"{head.title}{' would move' if moved else ' comes to stand'} below or against {over.words}.",
                measured=f"{at[0]:.2f}, {at[1]:.2f} ft; {over.words}",
                limit=limit_of(rule, yard.basis.firm.system, "at least"),
                remedy="Move it to the new edge or cap it at its pipe; a live pipe below paving wants a sleeve.",
            )


def _asked(yard: Yard) -> Iterator[tuple[SprinklerHead, Shape, list[_Built]]]:
    """Heads in open ground that nobody decided on, with what they throw over, and all that is built."""
    found = _of(yard)
    built = list(_built(yard)) if found else []
    under = yard.basis.rules.get("sprinkler-under-work")
    near = in_feet(under) if under else 0.0
    for head, at in _later(found) if found else ():
        throw = head.throw_at(at)
        if throw is not None and head.fate is not Fate.PROTECTED and not _covering(built, at, near):
            yield head, sector(throw), built


def onto_people(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """No water on walls of the house, on seats, fire and kitchens, on power."""
    house = yard.job.site.house
    walls = [_Built("the house", ground_of_outline(house), True)] if house else []
    points = list(_dry_points(yard))
    for head, over, built in _asked(yard):
        wet = [one for one in (*walls, *(it for it in built if it.dry)) if _area(one, over) > rule.value + NEAR]
        wet += [one for one in points if one.shape.intersects(over) and one.words not in {it.words for it in wet}]
        if wet:
            words = "; ".join(one.words for one in wet)
            yield broken(
                rule,
                head.where,
                f"{head.title} throws onto {words}.",
                measured=", ".join(
                    f"{one.words}: {format_area(_area(one, over), yard.basis.firm.system)}" for one in wet
                ),
                limit="no water there",
                remedy="Move it, cap it, or keep it and set it anew with a smaller arc or nozzle.",
            )


def onto_hard(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Hardly any water on new hard surface."""
    for head, over, built in _asked(yard):
        hard = [one for one in built if not one.dry]
        wet = _area(_Built("", shapely.union_all([one.shape for one in hard]), False), over)
        if wet > rule.value * over.area + NEAR:
            words = "; ".join(one.words for one in hard if _area(one, over) > NEAR)
            share = format_share(round(wet / over.area, 2))
            yield broken(
                rule,
                head.where,
                f"{head.title} throws {share} of its water onto {words}.",
                measured=f"{share}, {format_area(wet, yard.basis.firm.system)}",
                limit=f"at most {format_share(rule.value)}",
                remedy="Move it, cap it, or keep it and set it anew with a smaller arc or nozzle.",
            )


def _area(one: _Built, over: Shape) -> float:
    return float(one.shape.intersection(over).area)


def pipes(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Pipes of sprinklers are on the plan where something is dug."""
    found = _of(yard)
    drawn = any(_is_pipe(one) for one in yard.job.existing)
    there = [one for one in found.heads if not one.new] if found else []
    if found and (there or found.own) and not drawn and yard.digs():
        yield not_checked(
            rule,
            "site",
            "Where the sprinklers' pipes and wires run is not known: nothing that is dug was checked against them.",
            missing="pipes of the sprinklers",
            remedy="Draw where they were found as a line in the ground (irrigation, purple); until then dig by hand "
            "between heads and valves.",
        )


def _is_pipe(one: Existing) -> bool:
    return len(one.points) > 1 and (one.utility == "reclaimed" or one.kind == SPRINKLERS)


def counted_twice(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Heads are counted in one way: typed as a number, or one by one on the plan."""
    found = _of(yard)
    placed = [one for one in found.heads if not one.new and one.fate is not Fate.STAYS] if found else []
    for one in yard.job.existing if found and placed else ():
        if one.kind == SPRINKLERS and one.outline is None and not one.points and one.x is None and _paid(one):
            yield broken(
                rule,
                f"existing:{one.id}",
                f"{one.title or 'Sprinklers'}: {one.count} counted here, {len(placed)} decided one by one on the plan. "
                "If they are the same, they are in the price twice.",
                measured=f"{one.count} and {len(placed)}",
                remedy="Lower the count by those that stand on the plan, or take it off the list.",
            )


def _paid(one: Existing) -> bool:
    return one.fate is not Fate.STAYS


CHECKS: dict[str, Check] = {
    "sprinkler-under-work": under_work,
    "sprinkler-onto-people": onto_people,
    "sprinkler-onto-hard": onto_hard,
    "sprinkler-pipes": pipes,
    "sprinkler-counted-twice": counted_twice,
}
