"""Checks of room: fires to what burns, fires to seats, chairs behind a table."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import hypot

import shapely

from app.domain.basis import Rule
from app.domain.checks.plants import planted_rows
from app.domain.checks.regions import FIRE, region_of, rule_in, said_unreviewed
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked, severity_of
from app.domain.checks.walking import is_table, obstacles
from app.domain.checks.yard import Placed, Yard
from app.domain.findings import Finding, Severity
from app.domain.job import Existing, Fate, Feature, RunKind, Zone, ZoneKind
from app.domain.plan.between import Place, contains, from_line, from_point, to_edge
from app.domain.plan.open_lines import fine_points
from app.domain.takeoff.measures import zone_title
from app.domain.units import format_length

STEP = "step-least"  # the rule that says from what drop one steps down
SHRUB_FROM = "shrub-burns"  # the rule that says from what grown height a shrub counts as what burns
VALUES = frozenset({SHRUB_FROM})
TREE = "tree"
BURNS = frozenset({"deck", "fence", "structure", "tree"})  # kinds of existing things that burn
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Fire:
    """A fire feature: its middle where it is known, and how far its edge lies from there [ft]."""

    placed: Placed
    feature: Feature
    middle: Point | None
    reach: float


def fires(yard: Yard, *, gas: bool) -> list[Fire]:
    """The fire features of a job that burn gas, or wood."""
    features = {feature.id: feature for feature in yard.job.features}
    found = []
    for placed in yard.placed:
        feature = features.get(placed.work.place_id) if placed.work.place_id else None
        if feature and placed.assembly.group == "fire" and ("gas" in yard.cautions(placed)) == gas:
            known = feature.x is not None and feature.y is not None
            middle = (feature.x or 0.0, feature.y or 0.0) if known else None
            found.append(Fire(placed, feature, middle, _reach(yard, placed)))
    return found


def _reach(yard: Yard, placed: Placed) -> float:
    """From the middle of a fire to its outer edge, the longer way [ft]."""
    inside, wall = yard.parameter(placed, "inside"), yard.parameter(placed, "wall")
    if inside is not None:
        return inside / 2 + (wall or 0.0)
    sides = [side for side in (yard.parameter(placed, "long"), yard.parameter(placed, "wide")) if side]
    return max(sides, default=0.0) / 2


def fire_distance_wood(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Open wood fires stand clear of structures and of what burns, by the rule of the place."""
    named = region_of(yard.job, yard.basis.firm)
    held = rule_in(yard.basis, FIRE, named)
    return _distance(yard, said_unreviewed(held, named) if held else rule, gas=False)


def fire_distance_gas(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Gas fires stand clear of structures and of what burns."""
    return _distance(yard, rule, gas=True)


def _distance(yard: Yard, rule: Rule, *, gas: bool) -> Iterator[Finding]:
    found = fires(yard, gas=gas)
    if found and yard.job.site.house is None:
        yield not_checked(
            rule,
            "site",
            "How far the fire stands from the house cannot be checked: the house is not on the plan.",
            missing="the house",
            remedy="Type the outline of the house on the Site sheet.",
        )
    for fire in found:
        if fire.middle is None:
            yield not_checked(
                rule,
                fire.placed.where,
                f"{fire.placed.place}: where it stands is not typed, so its distance to the house is not known.",
                missing="place",
                remedy="Type how far right of and in front of the datum it stands.",
            )
        else:
            yield from _too_near(yard, rule, fire, fire.middle)


def _too_near(yard: Yard, rule: Rule, fire: Fire, middle: Point) -> Iterator[Finding]:
    system = yard.basis.firm.system
    for one in sorted(what_burns(yard, fire.feature, middle)):
        clear = one.away - fire.reach
        over = one.crown and clear < -NEAR
        if clear < in_feet(rule) - NEAR:
            softly = one.shrub and not over and severity_of(rule) is Severity.STOP
            place, reach = fire.placed.place, format_length(abs(clear) if over else max(0.0, clear), system)
            yield broken(
                replace(rule, severity=Severity.WARN) if softly else rule,
                fire.placed.where,
                f"{one.name}: its crown hangs over {place}." if over else f"{place} stands too near {one.name}.",
                measured=f"{reach} over its edge, {one.name}" if over else f"{reach} from its edge to {one.name}",
                limit=limit_of(rule, system, "at least"),
                remedy=_OVER if over else _SHRUB if one.shrub else _NEARBY,
            )


_NEARBY = "Move it, choose another fuel, or have the fire department's own distance entered as the rule."
_SHRUB = "Move one of the two, plant what stays lower, or ask the fire department whether a living shrub counts."
_OVER = "Move the fire or the plant: nothing that burns hangs over a flame, also once it has grown."


def wood_across(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A wood fire is no wider than what fire codes call recreational; a larger one is an open fire to many towns."""
    system = yard.basis.firm.system
    for fire in fires(yard, gas=False):
        inside = yard.parameter(fire.placed, "inside")
        if inside is not None and inside > in_feet(rule) + NEAR:
            yield broken(
                rule,
                fire.placed.where,
                f"{fire.placed.place}: so wide it is more than a recreational fire to the fire code.",
                measured=format_length(inside, system),
                limit=limit_of(rule, system, "at most"),
                remedy="Make it smaller inside, or ask the fire department what it asks of a larger one.",
            )


@dataclass(frozen=True, slots=True, order=True)
class Burns:
    """Something near a flame that may catch: its words, how far it lies from the middle of the flame [ft].

    Below zero where a crown reaches over that middle by so much. A living shrub is told softly: whether it counts, the
    fire department says.
    """

    name: str
    away: float
    crown: bool = False
    shrub: bool = False


def what_burns(yard: Yard, own: Feature, middle: Point) -> Iterator[Burns]:
    """Everything near a flame that may catch; trees and large shrubs by the rim that their crown has or grows to."""
    job = yard.job
    if job.site.house is not None:
        yield Burns("the house", from_point(job.site.house, middle))
    for thing in job.existing:
        clear = _away(thing, middle) if thing.kind in BURNS and thing.fate is not Fate.GOES else None
        if clear is not None:
            yield Burns(thing.title or f"the {thing.kind}", clear, thing.spread is not None and thing.outline is None)
    shades = {one.work.place_id: one for one in yard.placed if one.assembly.group == "structures"}
    trees = {one.work.place_id for one in yard.placed if any(part.role == TREE for part in one.assembly.parts)}
    for feature in job.features:
        if feature.x is None or feature.y is None or feature.id == own.id:
            continue
        away = hypot(feature.x - middle[0], feature.y - middle[1])
        if feature.id in shades:
            yield Burns(feature.title or "the shade structure", max(0.0, away - _reach(yard, shades[feature.id])))
        elif feature.id in trees:
            yield Burns(f"{feature.title or 'the tree'}, from its trunk", away)
    for run in job.runs:
        if run.kind is RunKind.FENCE and len(run.points) > 1:
            yield Burns(run.title or "the new fence", from_line(fine_points(run.points, run.rises), middle))
    yield from _planted(yard, middle)


def _planted(yard: Yard, middle: Point) -> Iterator[Burns]:
    """Trees on the plant lists, and shrubs that grow high, by the rim that the nearest of a row grows to."""
    from_high = yard.basis.rules.get(SHRUB_FROM)
    for row in planted_rows(yard):
        plant = row.plant
        if plant is None or not row.points:
            continue
        if plant.kind == TREE or (plant.kind == "shrub" and from_high and plant.height[1] >= in_feet(from_high) - NEAR):
            nearest = min(hypot(x - middle[0], y - middle[1]) for x, y in row.points)
            away = nearest - plant.spread[1] / 2
            yield Burns(f"{plant.botanical}, grown", away, crown=True, shrub=plant.kind != TREE)


def _away(thing: Existing, point: Place) -> float | None:
    """Distance [ft] from a point to a thing that is there: its outline, its line, or the rim of its crown."""
    if thing.outline is not None:
        return from_point(thing.outline, point)
    if len(thing.points) > 1:
        return from_line(fine_points(thing.points, thing.rises), point)
    if thing.x is None or thing.y is None:
        return None
    return hypot(thing.x - point[0], thing.y - point[1]) - (thing.spread or 0.0) / 2


def fire_to_seat(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Built seats stand back from a fire."""
    system = yard.basis.firm.system
    runs = {run.id: run for run in yard.job.runs}
    seats = [one for one in yard.placed if "seat" in one.assembly.key and one.work.place_id in runs]
    for fire in (*fires(yard, gas=False), *fires(yard, gas=True)):
        lines = [(one, runs[one.work.place_id]) for one in seats if one.work.place_id]
        drawn = [(one, fine_points(run.points, run.rises)) for one, run in lines if len(run.points) > 1]
        if fire.middle is None or not drawn:
            missing = "its place" if fire.middle is None else "seats"
            yield not_checked(
                rule,
                fire.placed.where,
                f"{fire.placed.place}: room to its seats cannot be checked, {missing} not on the plan.",
                missing=missing,
                remedy=f"Keep {format_length(in_feet(rule), system)} from the edge of the fire to the front of a seat.",
            )
            continue
        for one, points in drawn:
            clear = max(0.0, from_line(points, fire.middle) - fire.reach)
            if clear < in_feet(rule) - NEAR:
                yield broken(
                    rule,
                    one.where,
                    f"{one.place} stands too near {fire.placed.place}.",
                    measured=f"{format_length(clear, system)} to the edge of the fire",
                    limit=limit_of(rule, system, "at least"),
                    remedy="Move the seat or the fire.",
                )


def chair_clearance(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Chairs can be pulled out in a dining zone: a table is a feature called so, with its place and length."""
    system = yard.basis.firm.system
    for zone in yard.job.zones:
        outline = yard.outlines.get(zone.id)
        if zone.kind is not ZoneKind.DINING:
            continue
        tables = [one for one in yard.job.features if is_table(one) and one.zone_id == zone.id]
        known = [one for one in tables if None not in (one.x, one.y, one.length)]
        if not known or outline is None:
            yield not_checked(
                rule,
                f"zone:{zone.id}",
                f"{zone_title(zone)}: no table with its place and length is on the plan.",
                missing="table" if outline else "outline",
                remedy=f"Leave {format_length(in_feet(rule), system)} behind every side with chairs, or add the table.",
            )
            continue
        for table in known:
            yield from _behind_chairs(yard, rule, zone, table)


def _behind_chairs(yard: Yard, rule: Rule, zone: Zone, table: Feature) -> Iterator[Finding]:
    """What lies nearest behind the chairs of a table: the edge of its zone, or something that stands there."""
    system, middle, half = yard.basis.firm.system, (table.x or 0.0, table.y or 0.0), (table.length or 0.0) / 2
    outline, place = yard.outlines[zone.id], shapely.points(middle)
    inside = contains(outline, middle)
    ways = [(to_edge(outline, middle) if inside else 0.0, "the edge")]
    own = {f"feature:{table.id}", f"zone:{zone.id}"}
    ways += [(float(one.shape.distance(place)), one.words) for one in obstacles(yard) if one.where not in own]
    away, words = min(ways)
    clear = max(0.0, away - half)
    if clear < in_feet(rule) - NEAR:
        yield broken(
            rule,
            f"feature:{table.id}",
            f"{table.title} in {zone_title(zone)}: a chair cannot be pulled out.",
            measured=f"{format_length(clear, system)} from the table to {words}",
            limit=limit_of(rule, system, "at least"),
            remedy="Move the table, choose a smaller one, or make the zone larger.",
        )


def chair_to_drop(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Nobody pushes a chair back over a step: more room behind it where the ground goes down."""
    system, least = yard.basis.firm.system, yard.basis.rules.get(STEP)
    for table in yard.job.features:
        if not is_table(table) or table.zone_id is None or table.x is None or table.y is None or not table.length:
            continue
        ways = [
            (from_line(met.stretch.path, (table.x, table.y)), met.drop.most, met.neighbor)
            for met in yard.meetings
            if met.zone_id == table.zone_id and met.drop and met.drop.most > (in_feet(least) if least else 0.0) - NEAR
        ]
        away, deep, beyond = min(ways, default=(float("inf"), 0.0, ""))
        clear = max(0.0, away - table.length / 2)
        if clear < in_feet(rule) - NEAR:
            yield broken(
                rule,
                f"feature:{table.id}",
                f"{table.title}: behind its chairs it drops {format_length(deep, system)} to {yard.neighbor(beyond)}.",
                measured=f"{format_length(clear, system)} from the table to the drop",
                limit=limit_of(rule, system, "at least"),
                remedy="Move the table, or guard that edge with a wall, a planter or a rail.",
            )


CHECKS: dict[str, Check] = {
    "fire-distance-wood": fire_distance_wood,
    "fire-distance-gas": fire_distance_gas,
    "fire-wood-across": wood_across,
    "fire-to-seat": fire_to_seat,
    "chair-clearance": chair_clearance,
    "chair-to-drop": chair_to_drop,
}
