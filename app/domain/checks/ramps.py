"""Ways on wheels that climb: how far a ramp rises, its landings, the fall across a way, lips between surfaces."""

from collections.abc import Iterator
from math import cos, hypot, radians, sin

import shapely

from app.domain.basis import Rule
from app.domain.checks.passages import asks_for_wheels
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked, quiet
from app.domain.checks.walking import Shape, shape_of
from app.domain.checks.yard import Yard
from app.domain.findings import Finding
from app.domain.job import Alternative, Zone, ZoneKind, zones_by_key
from app.domain.plan.edges import HOUSE
from app.domain.plan.passing import width_of
from app.domain.takeoff.measures import zone_title
from app.domain.units import format_length, format_slope

RAMP = "ramp-from"  # the rule that says from which slope a way counts as a ramp
LANDING = "ramp-landing"
LEVEL = "cross-slope"  # no more than this is level
VALUES = frozenset({RAMP})
NOT_WALKED = frozenset({ZoneKind.PLANTING, ZoneKind.WATER, ZoneKind.LAWN})


def _ramps(yard: Yard) -> Iterator[tuple[Zone, Alternative, float]]:
    """Ways that climb as ramps do, and how steeply [rise over run]."""
    steep = yard.basis.rules.get(RAMP)
    for zone in yard.job.zones:
        way = yard.chosen.get(zone.id)
        if zone.kind is ZoneKind.PATH and way is not None and way.outline is not None:
            fall = way.fall or 0.0
            if steep is not None and fall > steep.value + NEAR:
                yield zone, way, fall


def _along(way: Alternative) -> float:
    """How long a way is [ft] in the direction it falls; by its longer side where that direction is not told."""
    if way.outline is None:
        return 0.0
    shape = shape_of(way.outline)
    if way.fall_bearing is None:
        return hypot(*_sides(shape)[0])
    east, north = sin(radians(way.fall_bearing)), cos(radians(way.fall_bearing))
    reach = [float(x * east + y * north) for x, y in shapely.get_coordinates(shape)]
    return max(reach) - min(reach)


def _sides(shape: Shape) -> list[tuple[float, float]]:
    """Two sides of the smallest rectangle around a shape [ft right, ft up], the longer first."""
    around = shapely.get_coordinates(shape.minimum_rotated_rectangle)
    sides = [(float(x), float(y)) for x, y in (around[1] - around[0], around[2] - around[1])]
    return sorted(sides, key=lambda side: -hypot(*side))


def ramp_rise(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A ramp rises no more than so much before it has a landing."""
    system = yard.basis.firm.system
    for zone, way, fall in _ramps(yard):
        rise = fall * _along(way)
        if rise > in_feet(rule) + NEAR:
            yield broken(
                rule,
                f"zone:{zone.id}",
                f"{zone_title(zone)} climbs as a ramp, further than one does without a landing.",
                measured=f"{format_length(rise, system)} at {format_slope(fall, system)}",
                limit=limit_of(rule, system, "at most"),
                remedy="Split it into two ways with a level landing between, or let it climb less.",
            )


def ramp_landing(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Where wheels were asked for, a ramp has a level landing at either end: a zone it meets, or a door."""
    if not asks_for_wheels(yard):
        return
    system = yard.basis.firm.system
    for zone, _, _ in _ramps(yard):
        met = {one.neighbor for one in yard.meetings if one.zone_id == zone.id and (one.neighbor != HOUSE or one.doors)}
        landings = [key for key in met if key == HOUSE or _is_landing(yard, key, in_feet(rule))]
        if len(landings) < 2:
            yield broken(
                rule,
                f"zone:{zone.id}",
                f"{zone_title(zone)} climbs as a ramp and has no level landing at {_which(landings)}.",
                measured=f"{len(landings)} of 2 landings",
                limit=f"level and {format_length(in_feet(rule), system)} each way, at both ends",
                remedy="Put a level zone at either end, as wide as the ramp. Designed toward, never said to comply.",
            )


def _which(landings: list[str]) -> str:
    return "one of its ends" if landings else "either end"


def _is_landing(yard: Yard, key: str, across: float) -> bool:
    """Whether a zone is level, walked and as large as a landing."""
    for zone in yard.job.zones:
        way = yard.chosen.get(zone.id)
        if str(zone.id) == key and way is not None and way.outline is not None and zone.kind not in NOT_WALKED:
            level = yard.basis.rules.get(LEVEL)
            flat = way.fall is not None and level is not None and way.fall <= level.value + NEAR
            return flat and width_of(way.outline, across) >= across - 1 / 48
    return False


def cross_slope(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Where wheels were asked for, a way does not fall to its side more than wheels bear."""
    if not asks_for_wheels(yard):
        return
    for zone in yard.job.zones:
        way = yard.chosen.get(zone.id)
        if zone.kind is not ZoneKind.PATH or way is None or way.outline is None or not way.fall:
            continue
        if way.fall_bearing is None:
            if way.fall > rule.value + NEAR:
                yield not_checked(
                    rule,
                    f"zone:{zone.id}",
                    f"{zone_title(zone)}: whether it falls along or across is not typed.",
                    missing="direction of fall",
                    remedy="Set the direction of its fall on the plan.",
                )
            continue
        across = _across(way, way.fall, way.fall_bearing)
        if across > rule.value + NEAR:
            system = yard.basis.firm.system
            yield broken(
                rule,
                f"zone:{zone.id}",
                f"{zone_title(zone)} falls to its side: wheels pull downhill.",
                measured=f"{format_slope(across, system)} across",
                limit=limit_of(rule, system, "at most"),
                remedy="Turn its fall along the way, or lower it. Designed toward, never said to comply.",
            )


def _across(way: Alternative, fall: float, bearing: float) -> float:
    """The part of a way's fall that runs across its longer side."""
    if way.outline is None:
        return 0.0
    east, north = _sides(shape_of(way.outline))[0]
    off = sin(radians(bearing)) * north - cos(radians(bearing)) * east
    return abs(fall * off / hypot(east, north))


def lip(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Two walked surfaces that meet with a lip: too low for a step, high enough to catch a toe or a wheel."""
    system = yard.basis.firm.system
    walked = {key for key, zone in zones_by_key(yard.job.zones).items() if zone.kind not in NOT_WALKED}
    step = yard.basis.rules.get("step-wanted")
    most = in_feet(step) if step else float("inf")
    told: set[frozenset[str]] = set()
    for met in yard.meetings:
        pair = frozenset((met.stretch.zone, met.neighbor))
        if met.drop is None or pair in told or not pair <= walked:
            continue
        if in_feet(rule) + NEAR < met.drop.deepest <= most + NEAR:
            told.add(pair)
            yield quiet(
                rule,
                f"zone:{met.zone_id}",
                f"{yard.neighbor(str(met.zone_id))} and {yard.neighbor(met.neighbor)} meet with a lip.",
                measured=f"{format_length(met.drop.deepest, system, sixteenths=True)} to {yard.neighbor(met.neighbor)}",
                remedy=f"Bevel it, or bring the two within {format_length(in_feet(rule), system, sixteenths=True)}.",
            )


CHECKS: dict[str, Check] = {
    "ramp-rise": ramp_rise,
    LANDING: ramp_landing,
    LEVEL: cross_slope,
    "lip": lip,
}
