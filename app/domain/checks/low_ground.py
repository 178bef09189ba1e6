"""Hollows of the measured ground, where water stands: whether what is planned there takes it on."""

from collections.abc import Iterator, Mapping
from uuid import UUID

import shapely

from app.domain.basis import Rule
from app.domain.checks.ends import takers
from app.domain.checks.rules import Check, broken, in_feet, limit_of, not_checked
from app.domain.checks.yard import Yard
from app.domain.findings import Finding
from app.domain.keeping import KeptByInputs, Same
from app.domain.plan.between import contains
from app.domain.plan.outline import Outline
from app.domain.plan.surface import LowPoint, Surface, ground_fall, low_points
from app.domain.takeoff.ground import ground_of, mark_names, mark_places
from app.domain.units import format_length

NEAR_TAKER = 3.0  # ft: a drain or dry well this near takes the water of a hollow. Common practice, no source


def low_point(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """No hollow is left in the ground without a finish that falls, or something that takes its water."""
    system = yard.basis.firm.system
    yield from _not_leveled(yard, rule)
    for hollow in low_points(ground_of(yard.job)):
        if hollow.depth <= in_feet(rule) or _built_over(yard, hollow) or _drained(yard, hollow):
            continue
        key, name = _mark_at(yard, hollow)
        yield broken(
            rule,
            f"mark:{key}",
            f"{name} lies in a hollow: the ground measured around it is higher on all sides, and water stands there.",
            measured=f"{format_length(hollow.depth, system)} deep before it runs on",
            limit=limit_of(rule, system, "at most"),
            remedy="Give it an outlet (a swale, a catch basin with its drain, a dry well), fill it, or type the finish "
            "level and fall of what is built there.",
        )


def _not_leveled(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Said once of the zones below which nobody measured the ground, and whose finish has no level either."""
    ground = ground_of(yard.job)
    open_ground = {
        key: way.outline for key, way in yard.chosen.items() if way.outline is not None and way.level is None
    }
    bare = [yard.neighbor(str(key)) for key, outline in open_ground.items() if not _leveled(key, ground, outline)]
    if bare:
        named = "; ".join(bare[:3]) + (f" and {len(bare) - 3} more" if len(bare) > 3 else "")
        yield not_checked(
            rule,
            "site",
            f"Whether water stands in a hollow was not checked: the ground was not leveled at {named}.",
            missing="levels of the ground",
            remedy="Take spot levels on Tape and level, the low places too, or type the finish level and fall there.",
        )


def _leveled(key: UUID, ground: Surface, outline: Outline) -> bool:
    """Whether spot levels tell how the ground lies there; kept while neither changes."""
    known = (Same(ground), outline)
    return _LEVELED.get_or_make(key, known, lambda: ground_fall(ground, outline) is not None)


_LEVELED: KeptByInputs[bool] = KeptByInputs(1024)


def _built_over(yard: Yard, hollow: LowPoint) -> bool:
    """Whether it lies below the house, or below a finish whose level is known."""
    house = yard.job.site.house
    if house is not None and contains(house, hollow.at):
        return True
    ways = (way for way in yard.chosen.values() if way.outline is not None and way.level is not None)
    return any(way.outline is not None and contains(way.outline, hollow.at) for way in ways)


def _drained(yard: Yard, hollow: LowPoint) -> bool:
    place = shapely.points(hollow.at)
    return any(shape.distance(place) <= NEAR_TAKER for shape in takers(yard))


def _mark_at(yard: Yard, hollow: LowPoint) -> tuple[str, str]:
    """The mark that was measured there: its id and its name."""
    names, places = mark_names(yard.job), mark_places(yard.job)
    return next((key, name) for key, name in names.items() if places[name] == hollow.at)


CHECKS: Mapping[str, Check] = {"low-point": low_point}
