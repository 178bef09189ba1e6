"""Checks of ways: from the doors of the house to every place people use, the width of paths, slopes on wheels."""

from collections.abc import Iterator
from functools import partial

import shapely

from app.domain.basis import Rule
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked, quiet
from app.domain.checks.walking import Shape, doors, is_door, obstacles, walking_ground
from app.domain.checks.yard import Yard
from app.domain.findings import Finding
from app.domain.job import Zone, ZoneKind
from app.domain.keeping import KeptByInputs, Same
from app.domain.plan.arcs import Point
from app.domain.plan.outline import Outline, chords
from app.domain.plan.passing import Ground, Passage, width_of
from app.domain.takeoff.measures import zone_title
from app.domain.units import format_length, format_slope

SAT_IN = frozenset({ZoneKind.FIRE, ZoneKind.COOKING, ZoneKind.DINING, ZoneKind.LOUNGING})
USED = SAT_IN | {ZoneKind.PLAY, ZoneKind.SERVICE, ZoneKind.PATH}
ON_WHEELS = ("wheelchair", "walker", "silla de ruedas", "andador")  # words of a need that ask for ways on wheels
_PASSAGES: KeptByInputs[Passage] = KeptByInputs(512)
_LIES: KeptByInputs[str] = KeptByInputs(512)
_WIDTHS: KeptByInputs[float] = KeptByInputs(512)


def _used(yard: Yard) -> Iterator[tuple[Zone, Outline]]:
    for zone in yard.job.zones:
        if zone.kind in USED and (outline := yard.outlines.get(zone.id)) is not None:
            yield zone, outline


def passage_width(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Every place people use is reached from a door of the house on a way of some width."""
    used = tuple(_used(yard))
    if not used:
        return
    free, start = walking_ground(yard), doors(yard)
    if free is None or start is None:
        missing = "the lot" if free is None else "a door of the house"
        yield not_checked(
            rule,
            "site",
            f"Whether one gets to every place cannot be checked: {missing} is not on the plan.",
            missing=missing,
            remedy="Put lot, house and its doors on the Site sheet.",
        )
        return
    for zone, outline in used:
        found = _passage(free, start, zone, outline, in_feet(rule))
        if found.width < in_feet(rule) - NEAR:
            yield _narrow(yard, rule, zone, found, free)


def _passage(free: Ground, start: Shape, zone: Zone, outline: Outline, most: float) -> Passage:
    goal = chords(outline).polygon
    rests_on = (Same(free), start.wkb, outline, most)
    return _PASSAGES.get_or_make(zone.id, rests_on, lambda: free.narrowest(start, goal, most))


def _narrow(yard: Yard, rule: Rule, zone: Zone, found: Passage, free: Ground) -> Finding:
    system = yard.basis.firm.system
    if found.at is None:
        return broken(
            rule,
            f"zone:{zone.id}",
            f"No way leads from a door of the house to {zone_title(zone)}.",
            measured="no way",
            limit=limit_of(rule, system, "a way of at least"),
            remedy="Leave a gap, add a gate or a path, or move what stands between.",
        )
    rests_on = (Same(free), found.at, found.width, system)
    lies = _LIES.get_or_make(zone.id, rests_on, partial(_between, yard, found.at, found.width))
    return broken(
        rule,
        f"zone:{zone.id}",
        f"The way from the house to {zone_title(zone)} is narrow {lies}.",
        measured=format_length(found.width, system),
        limit=limit_of(rule, system, "at least"),
        remedy="Move what stands there, or lead the way around it.",
    )


def _between(yard: Yard, at: Point, wide: float) -> str:
    """What a narrow place lies between, in words; where nothing that has a name is near, its place on the plan."""
    place, house, lot = shapely.points(at), yard.job.site.house, yard.job.site.lot
    there = [(one.words, one.shape) for one in obstacles(yard)]
    there += [("the house", chords(house).polygon)] if house else []
    there += [("the lot line", chords(lot).polygon.boundary)] if lot else []
    near = sorted((float(shape.distance(place)), words) for words, shape in there)
    names = list(dict.fromkeys(words for away, words in near if away <= wide + NEAR))[:2]
    if not names:
        x, y = (format_length(one, yard.basis.firm.system) for one in at)
        return f"near {x} right, {y} up"
    return f"between {names[0]} and {names[1]}" if len(names) > 1 else f"beside {names[0]}"


def path_width(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A path is wide enough for one person."""
    return _narrow_paths(yard, rule, "is narrow for one person.", "Widen it.")


def _narrow_paths(yard: Yard, rule: Rule, words: str, remedy: str) -> Iterator[Finding]:
    system = yard.basis.firm.system
    for zone, wide in _paths(yard, rule):
        if wide < in_feet(rule) - NEAR:
            yield broken(
                rule,
                f"zone:{zone.id}",
                f"{zone_title(zone)} {words}",
                measured=format_length(wide, system),
                limit=limit_of(rule, system, "at least"),
                remedy=remedy,
            )


def path_two_abreast(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """On a path of less than this two people do not walk side by side."""
    for zone, wide in _paths(yard, rule):
        if wide < in_feet(rule) - NEAR:
            yield quiet(
                rule,
                f"zone:{zone.id}",
                f"Two people do not walk side by side on {zone_title(zone)}.",
                measured=format_length(wide, yard.basis.firm.system),
                remedy=limit_of(rule, yard.basis.firm.system, "Where it is the main way, make it") + " wide.",
            )


def _paths(yard: Yard, rule: Rule) -> Iterator[tuple[Zone, float]]:
    most = in_feet(rule)
    for zone, outline in _used(yard):
        if zone.kind is ZoneKind.PATH:
            yield zone, _WIDTHS.get_or_make((zone.id, rule.id), (outline, most), partial(width_of, outline, most))


def door_clear(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Nothing stands right outside a door of the house."""
    system, house = yard.basis.firm.system, yard.job.site.house
    for number, opening in enumerate(yard.job.site.openings if house else ()):
        place = shapely.points((opening.x, opening.y))
        near = [(one.shape.distance(place), one.words) for one in obstacles(yard)]
        clear, words = min(near, default=(in_feet(rule), ""))
        if house and is_door(house, opening) and clear < in_feet(rule) - NEAR:
            yield broken(
                rule,
                f"opening:{number}",
                f"{words} stands close to {opening.title or 'a door'}.",
                measured=format_length(clear, system),
                limit=limit_of(rule, system, "at least"),
                remedy="Move it, so that the door opens and people pass with something in their hands.",
            )


def walk_slope(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A path steeper than this is a ramp."""
    return _steep(yard, rule, "is steep for a walk.", "Lengthen the way, or put steps or a landing in.")


def wheel_slope(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Where somebody asked for ways on wheels, paths rise no more than this."""
    if asks_for_wheels(yard):
        yield from _steep(yard, rule, "rises more than is easy on wheels.", "Lengthen the way; it needs no steps then.")


def _steep(yard: Yard, rule: Rule, words: str, remedy: str) -> Iterator[Finding]:
    system = yard.basis.firm.system
    for zone, _ in _used(yard):
        fall = yard.chosen[zone.id].fall
        if zone.kind is ZoneKind.PATH and fall is not None and fall > rule.value + NEAR:
            yield broken(
                rule,
                f"zone:{zone.id}",
                f"{zone_title(zone)} {words}",
                measured=format_slope(fall, system),
                limit=limit_of(rule, system, "at most"),
                remedy=remedy,
            )


def wheel_width(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Where somebody asked for ways on wheels, paths are as wide as that takes."""
    if asks_for_wheels(yard):
        remedy = "Widen it. Figures for public ways serve as comfort; none says that a yard complies."
        yield from _narrow_paths(yard, rule, "is narrow for a wheelchair.", remedy)


def asks_for_wheels(yard: Yard) -> bool:
    """Whether a need asks for ways on wheels."""
    return any(word in need.words.lower() for need in yard.job.needs for word in ON_WHEELS)


CHECKS: dict[str, Check] = {
    "passage-width": passage_width,
    "path-width": path_width,
    "path-two-abreast": path_two_abreast,
    "door-clear": door_clear,
    "walk-slope": walk_slope,
    "wheel-slope": wheel_slope,
    "wheel-width": wheel_width,
}
