"""Gas bottles: their cabinet is open to the air high and low, they stand off the ground, away from flames and openings.

Propane is heavier than air: what leaks lies on the floor. The appliance's manual, local code and the licensed fitter
govern; nothing here says that a cabinet complies.
"""

from collections.abc import Iterator

import shapely

from app.domain.basis import Rule
from app.domain.checks.clearances import fires
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked
from app.domain.checks.walking import Shape
from app.domain.checks.yard import Placed, Yard
from app.domain.findings import Finding
from app.domain.job import Feature
from app.domain.takeoff.gas_on_plan import BOTTLE
from app.domain.trades.gas import vent_areas
from app.domain.units import format_length

SPARKS = frozenset({"outlet", "transformer"})  # roles of what may spark when it is switched or plugged in
LEAST = "bottle-vent-least"
VALUES = frozenset({LEAST})
SQ_IN = 144.0  # in a sq ft
Point = tuple[float, float]


def _bottles(yard: Yard) -> Iterator[tuple[Placed, Feature]]:
    features = {f"feature:{one.id}": one for one in yard.job.features}
    for placed in yard.placed:
        if placed.assembly.key == BOTTLE and placed.where in features:
            yield placed, features[placed.where]


def vents(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A bottle's cabinet is open at its top and at its floor, by what the bottle holds."""
    least = yard.basis.rules.get(LEAST)
    for placed, _ in _bottles(yard):
        pounds = yard.parameter(placed, "pounds")
        high, low = (yard.parameter(placed, name) for name in ("open_high", "open_low"))
        if pounds is None or high is None or low is None:
            continue
        top, floor = (max(area, least.value if least else 0.0) for area in vent_areas(pounds))
        top *= rule.value
        found = (high * SQ_IN, low * SQ_IN)
        if found[0] < top - 1e-6 or found[1] < floor - 1e-6:
            yield broken(
                rule,
                placed.where,
                f"{placed.place}: its cabinet is not open enough to the air. Gas that leaks stays in it.",
                measured=f"{found[0]:.4g} sq in at the top, {found[1]:.4g} at the floor",
                limit=f"at least {top:.4g} and {floor:.4g} sq in for {pounds:g} lb",
                remedy="More vents on opposite sides, or one side open; the manual and the gas fitter decide.",
            )


def raised(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A bottle stands off the ground, where no water stands and rust does not eat it."""
    system = yard.basis.firm.system
    for placed, _ in _bottles(yard):
        up = yard.parameter(placed, "raised")
        if up is not None and up < in_feet(rule) - NEAR:
            yield broken(
                rule,
                placed.where,
                f"{placed.place} stands on the ground.",
                measured=format_length(up, system),
                limit=limit_of(rule, system, "at least"),
                remedy="Set it on a shelf or a grate above the floor of its cabinet.",
            )


def from_flames(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A bottle keeps away from fires, and from what may spark; a grill over its own bottle goes by its manual."""
    yield from _near(
        yard, rule, _flames(yard), "a flame or a spark", "Move one of the two; the manual may ask for more."
    )


def from_openings(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A bottle keeps away from doors of the house: gas runs in over a threshold, and down into what lies below."""
    doors = [(one.title or "a door", shapely.points((one.x, one.y)), 0.0) for one in yard.job.site.openings]
    remedy = "Move it, and keep it from windows, vents and stairs down as well: they are not on this plan."
    yield from _near(yard, rule, doors, "an opening of the house", remedy)


Near = tuple[str, Shape, float]  # its words, its place, from there to its edge [ft]


def _flames(yard: Yard) -> list[Near]:
    found = [
        (one.placed.place, shapely.points(one.middle), one.reach)
        for gas in (True, False)
        for one in fires(yard, gas=gas)
        if one.middle is not None
    ]
    for one in yard.job.features:
        sparks = any(part.role in SPARKS for placed in yard.on(f"feature:{one.id}") for part in yard.parts(placed))
        if sparks and one.x is not None and one.y is not None:
            found.append((one.title or "an outlet", shapely.points((one.x, one.y)), 0.0))
    return found


def _near(yard: Yard, rule: Rule, others: list[Near], what: str, remedy: str) -> Iterator[Finding]:
    system = yard.basis.firm.system
    for placed, bottle in _bottles(yard):
        if bottle.x is None or bottle.y is None:
            yield not_checked(
                rule,
                placed.where,
                f"{placed.place}: how far it stands from {what} cannot be checked, it has no place on the plan.",
                missing="place",
                remedy="Type how far right of and in front of the datum it stands.",
            )
            continue
        place = shapely.points((bottle.x, bottle.y))
        away = [(max(0.0, float(place.distance(at)) - edge), words) for words, at, edge in others]
        near, words = min(away, default=(float("inf"), ""))
        if near < in_feet(rule) - NEAR:
            yield broken(
                rule,
                placed.where,
                f"{placed.place} stands close to {words}.",
                measured=f"{format_length(near, system)} to {words}",
                limit=limit_of(rule, system, "at least"),
                remedy=remedy,
            )


CHECKS: dict[str, Check] = {
    "bottle-open": vents,
    "bottle-raised": raised,
    "bottle-flame": from_flames,
    "bottle-opening": from_openings,
}
