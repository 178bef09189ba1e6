"""Checks of a kitchen outdoors: counter on both sides of a grill, the aisle before a counter, the way to the house."""

from collections.abc import Iterator, Sequence
from math import hypot

import shapely

from app.domain.basis import Rule
from app.domain.checks.clearances import fires, what_burns
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked, quiet
from app.domain.checks.walking import Obstacle, Shape, doors, half_depth, line_of, obstacles
from app.domain.checks.yard import Placed, Yard
from app.domain.findings import Finding
from app.domain.job import Feature, Run, ZoneKind
from app.domain.plan.levels import COMPASS, runs_to
from app.domain.plan.measures import centroid
from app.domain.plan.outline import chords
from app.domain.trades.gas import vent_areas
from app.domain.units import format_length

GRILL = "grill"
GRILL_WIDE = 32 / 12  # ft: the middle of what is sold, where its length is not typed. Common practice, no source
BUILT_IN = 2.0  # ft: a grill whose middle is this near to the middle of a counter stands in it
SHORT_SIDE = "landing-short"
COLD = frozenset({"refrigerator", "kitchen-appliance"})  # what is opened by a door and emptied onto the counter
SINK, SINK_SHORT = "sink", "sink-short"
SINK_WIDE = 2.0  # ft, where its length is not typed. Common practice, no source
SEATED = frozenset({ZoneKind.DINING, ZoneKind.LOUNGING})
SPREAD = 0.7071  # cosine of 45°: smoke spreads so far to either side of the wind. Assumption
Point = tuple[float, float]


def _grills(yard: Yard) -> Iterator[tuple[Placed, Feature]]:
    features = {f"feature:{one.id}": one for one in yard.job.features}
    for placed in yard.placed:
        if placed.assembly.key.startswith(GRILL) and placed.where in features:
            yield placed, features[placed.where]


def _counters(yard: Yard) -> Iterator[tuple[Run, Shape]]:
    """Lines that are counters: a cooking recipe that says how deep it stands; a gas line says nothing of that."""
    for run in yard.job.runs:
        deep = (yard.parameter(one, "deep") for one in yard.on(f"run:{run.id}") if one.assembly.group == "cooking")
        if any(deep) and len(run.points) > 1:
            yield run, line_of(run)


def landing(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A grill in a counter has counter on both sides: more on one, some on the other."""
    shorter = yard.basis.rules.get(SHORT_SIDE)
    for placed, grill in _grills(yard):
        middle = _middle(grill)
        sides = middle and _sides(yard, grill, middle)
        if not sides:
            yield not_checked(
                rule,
                placed.where,
                f"{placed.place}: counter beside it cannot be checked, it stands in none on the plan.",
                missing="place" if middle is None else "counter",
                remedy=f"Leave {format_length(in_feet(rule), yard.basis.firm.system)} of counter on one side of it.",
            )
            continue
        wanted = (in_feet(shorter) if shorter else 0.0, in_feet(rule))
        if any(found < least - NEAR for found, least in zip(sorted(sides), wanted, strict=True)):
            yield _too_short(yard, rule, placed, sides, wanted)


def _too_short(
    yard: Yard, rule: Rule, placed: Placed, sides: tuple[float, float], wanted: tuple[float, float]
) -> Finding:
    left, right, less, more = (format_length(one, yard.basis.firm.system) for one in (*sides, *wanted))
    return broken(
        rule,
        placed.where,
        f"{placed.place}: there is little counter beside it to set plates down.",
        measured=f"{left} and {right}",
        limit=f"at least {more} on one side and {less} on the other",
        remedy="Make the counter longer, or move the grill in it.",
    )


def _middle(feature: Feature) -> Point | None:
    return (feature.x, feature.y) if feature.x is not None and feature.y is not None else None


def _sides(yard: Yard, thing: Feature, middle: Point, usual: float = GRILL_WIDE) -> tuple[float, float] | None:
    """Counter [ft] on either side of a grill, or of another thing as wide as usual; None where it stands in none.

    It ends where the counter does, or where the next thing that is built into it begins.
    """
    place, half = shapely.points(middle), (thing.length or usual) / 2
    for _, line in _counters(yard):
        if line.distance(place) <= BUILT_IN:
            along = line.project(place)
            others = [one for other, *one in _built_in(yard, line) if other.id != thing.id]
            begins = max((high for low, high in others if low + high < 2 * along), default=0.0)
            ends = min((low for low, high in others if low + high > 2 * along), default=line.length)
            return max(0.0, along - half - begins), max(0.0, ends - along - half)
    return None


def _built_in(yard: Yard, line: Shape) -> Iterator[tuple[Feature, float, float]]:
    """What stands in a counter, each with where it begins and ends along its line [ft]."""
    features = {f"feature:{one.id}": one for one in yard.job.features}
    for placed in yard.placed:
        thing = features.get(placed.where)
        middle = _middle(thing) if thing else None
        wide = _wide(placed)
        if thing and middle and wide and line.distance(shapely.points(middle)) <= BUILT_IN:
            along, half = line.project(shapely.points(middle)), (thing.length or wide) / 2
            yield thing, along - half, along + half


def _wide(placed: Placed) -> float:
    """How wide a thing usually is that is built into a counter [ft]; 0 for what is not."""
    key = placed.assembly.key
    return GRILL_WIDE if key.startswith(GRILL) else SINK_WIDE if key == SINK or key in COLD else 0.0


def openings(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A counter's recipe leaves an opening in its face for each grill and appliance that stands in it."""
    faced = {f"feature:{one.id}" for one in yard.job.features if _in_the_face(yard, one)}
    for run, line in _counters(yard):
        count = sum(thing.count for thing, *_ in _built_in(yard, line) if f"feature:{thing.id}" in faced)
        for placed in yard.on(f"run:{run.id}"):
            left = yard.parameter(placed, "openings")
            if left is not None and count > left + rule.value + NEAR:
                yield broken(
                    rule,
                    placed.where,
                    f"{placed.place}: more stands in it than openings are left in its face.",
                    measured=f"{left:g} for {count}",
                    limit=f"{count}" if not rule.value else f"{count}, {rule.value:g} fewer at most",
                    remedy="Set its appliance openings: block, facing, lintels and cutting go by them.",
                )


def _in_the_face(yard: Yard, one: Feature) -> bool:
    keys = [placed.assembly.key for placed in yard.on(f"feature:{one.id}")]
    return any(key.startswith(GRILL) or key in COLD for key in keys)


def aisle(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Before a counter there is room to work: on one of its sides, as nobody says on which the cook stands."""
    system, wanted = yard.basis.firm.system, in_feet(rule)
    for run, line in _counters(yard):
        face, where = half_depth(yard, run), f"run:{run.id}"
        around = [one for one in _around(yard) if one.where != where and line.distance(one.shape) > face - NEAR]
        sides = [_nearest(line, side * (face + wanted), around) for side in (1, -1)]
        if all(sides):
            away, one = max((found for found in sides if found), key=lambda found: (found[0], found[1].where))
            clear = max(0.0, away - face)
            if clear < wanted - NEAR:
                yield broken(
                    rule,
                    where,
                    f"{run.title or 'A counter'} has little room on both sides; on the wider one stands {one.words}.",
                    measured=format_length(clear, system),
                    limit=limit_of(rule, system, "at least"),
                    remedy="Move one of them, so that a cook has room on one side.",
                )


def _around(yard: Yard) -> tuple[Obstacle, ...]:
    """What stands in the way of a cook: what people walk around, and the house."""
    house = yard.job.site.house
    return (*obstacles(yard), *([Obstacle("site", "the house", chords(house).polygon)] if house else []))


def _nearest(line: Shape, reach: float, around: Sequence[Obstacle]) -> tuple[float, Obstacle] | None:
    """What is nearest beside a line (left of it where `reach` is positive), and how far [ft]; None where nothing is."""
    beside = line.buffer(reach, single_sided=True)
    found = ((line.distance(one.shape.intersection(beside)), one) for one in around if one.shape.intersects(beside))
    return min(found, key=lambda one: (one[0], one[1].where), default=None)


def to_kitchen(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """How far it is from the house to the grill: everything is carried."""
    start = doors(yard)
    for placed, grill in _grills(yard):
        middle = _middle(grill)
        if start is None or middle is None:
            continue
        away = min(hypot(one.x - middle[0], one.y - middle[1]) for one in shapely.get_parts(start))
        if away > in_feet(rule) + NEAR:
            yield quiet(
                rule,
                placed.where,
                f"{placed.place} is far from the house: everything is carried there and back.",
                measured=f"{format_length(away, yard.basis.firm.system)} from the nearest door, in a straight line",
                remedy="Move it nearer, or give it a sink, storage and light of its own.",
            )


def grill_distance(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A grill stands clear of what burns, and under nothing that does."""
    system = yard.basis.firm.system
    for placed, grill in _grills(yard):
        middle = _middle(grill)
        if middle is None:
            yield not_checked(
                rule,
                placed.where,
                f"{placed.place}: how far it stands from what burns is not known.",
                missing="place",
                remedy="Type how far right of and in front of the datum it stands.",
            )
            continue
        for one in sorted(what_burns(yard, grill, middle)):
            name, clear = one.name, max(0.0, one.away - (grill.length or GRILL_WIDE) / 2)
            if clear < in_feet(rule) - NEAR:
                yield broken(
                    rule,
                    placed.where,
                    f"{placed.place} stands near {name}.",
                    measured=f"{format_length(clear, system)} to {name}",
                    limit=limit_of(rule, system, "at least"),
                    remedy="Move it, or go by the clearances of its own manual and say so here.",
                )


def smoke(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Smoke of wood fires and grills goes with the wind: not into doors, not over tables and seats."""
    site, system = yard.job.site, yard.basis.firm.system
    burning = [(one.placed, one.middle, one.reach) for one in fires(yard, gas=False) if one.middle]
    burning += [(placed, middle, 0.0) for placed, grill in _grills(yard) if (middle := _middle(grill))]
    if not burning:
        return
    if site.wind_from not in COMPASS:
        yield not_checked(
            rule,
            "site",
            "Where the smoke goes was not checked: where the wind mostly comes from is not known.",
            missing="wind",
            remedy="Ask the owner, stand there of an evening, and choose it on the Site sheet.",
        )
        return
    way = runs_to(COMPASS.index(site.wind_from) * 45.0 + 180.0 + site.north)
    for placed, middle, reach in burning:
        for words, at in _breathed(yard, placed):
            east, north = at[0] - middle[0], at[1] - middle[1]
            away = hypot(east, north)
            downwind = east * way[0] + north * way[1] >= away * SPREAD
            if reach < away < in_feet(rule) - NEAR and downwind:
                yield quiet(
                    rule,
                    placed.where,
                    f"{placed.place}: with wind from the {site.wind_from} its smoke goes to {words}.",
                    measured=f"{format_length(away, system)} downwind, wind from the {site.wind_from}",
                    remedy="Move it to the other side, or let the client know; wind turns.",
                )


def _breathed(yard: Yard, burning: Placed) -> Iterator[tuple[str, Point]]:
    """Where smoke is not wanted: doors and gates of the house, the middle of places where people sit and eat."""
    yield from ((one.title or "a door", (one.x, one.y)) for one in yard.job.site.openings)
    for zone in yard.job.zones:
        outline = yard.outlines.get(zone.id)
        if outline is not None and zone.kind in SEATED and burning.zone is not zone:
            yield f"{zone.letter} {zone.title}".strip(), centroid(outline)


def landings_beside(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A sink in a counter has room on both sides: the longer by this rule, some on the other."""
    system, shorter = yard.basis.firm.system, yard.basis.rules.get(SINK_SHORT)
    features = {f"feature:{one.id}": one for one in yard.job.features}
    for placed in yard.placed:
        sink = features.get(placed.where) if placed.assembly.key == SINK else None
        middle = _middle(sink) if sink else None
        sides = _sides(yard, sink, middle, SINK_WIDE) if sink and middle else None
        if sides is None:
            continue
        wanted = (in_feet(shorter) if shorter else 0.0, in_feet(rule))
        if any(found < least - NEAR for found, least in zip(sorted(sides), wanted, strict=True)):
            left, right, less, more = (format_length(one, system) for one in (*sides, *wanted))
            yield broken(
                rule,
                placed.where,
                f"{placed.place}: there is little counter beside it for what is washed.",
                measured=f"{left} and {right}",
                limit=f"at least {more} on one side and {less} on the other",
                remedy="Make the counter longer, or move the sink in it.",
            )


def handle_side(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Beside a refrigerator or the like there is counter on one side: what is taken out is set down there."""
    system = yard.basis.firm.system
    features = {f"feature:{one.id}": one for one in yard.job.features}
    for placed in yard.placed:
        thing = features.get(placed.where) if placed.assembly.key in COLD else None
        middle = _middle(thing) if thing else None
        sides = _sides(yard, thing, middle, SINK_WIDE) if thing and middle else None
        if sides is not None and max(sides) < in_feet(rule) - NEAR:
            yield broken(
                rule,
                placed.where,
                f"{placed.place}: there is little counter beside it for what is taken out.",
                measured=" and ".join(format_length(one, system) for one in sides),
                limit=limit_of(rule, system, "on one side at least"),
                remedy="Move it in the counter, on the side where its door opens.",
            )


def reaches_over(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A counter's top that reaches far over is held by brackets."""
    system = yard.basis.firm.system
    for run, _line in _counters(yard):
        for placed in yard.on(f"run:{run.id}"):
            over = yard.parameter(placed, "overhang")
            if over is not None and over > in_feet(rule) + NEAR:
                yield quiet(
                    rule,
                    placed.where,
                    f"{placed.place}: its top reaches {format_length(over, system)} over, which wants brackets.",
                    measured=format_length(over, system),
                    remedy="They are in the price; the fabricator says how far his stone reaches. Nobody stands on it.",
                )


def bottle_vents(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Gas in a closed counter: said once, with what the vents of a bottle's cabinet come to."""
    for run, line in _counters(yard):
        places = (shapely.points(at) for _, grill in _grills(yard) if (at := _middle(grill)))
        if any(line.distance(one) <= BUILT_IN for one in places):
            top, floor = vent_areas(rule.value)
            yield quiet(
                rule,
                f"run:{run.id}",
                f"{run.title or 'The counter'}: gas in a closed cabinet wants air in and out.",
                measured=f"{top:g} sq in at the top and {floor:g} sq in at the floor for {rule.value:g} lb of propane",
                remedy="Vents on opposite sides, or one side open; natural gas vents high. The appliance's manual and "
                "the gas fitter decide.",
            )


CHECKS: dict[str, Check] = {
    "landing-long": landing,
    "aisle": aisle,
    "to-kitchen": to_kitchen,
    "grill-distance": grill_distance,
    "smoke-wind": smoke,
    "sink-long": landings_beside,
    "appliance-side": handle_side,
    "counter-overhang": reaches_over,
    "bottle-vents": bottle_vents,
    "counter-openings": openings,
}
VALUES = frozenset({SHORT_SIDE, SINK_SHORT})
