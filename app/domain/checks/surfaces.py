"""Checks of finished surfaces: which way water runs, how thick the base is, how much of the lot is hard."""

from collections.abc import Iterator
from dataclasses import replace
from uuid import UUID

from app.domain.basis import Rule
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked
from app.domain.checks.yard import Placed, Yard
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Existing, Fate
from app.domain.plan.between import apart
from app.domain.plan.falls import falls_from_house
from app.domain.plan.levels import compass_word
from app.domain.plan.measures import area
from app.domain.takeoff.cover import called_a_drive
from app.domain.takeoff.measures import zone_title
from app.domain.units import format_area, format_length, format_share, format_slope

REACH = "fall-reach"
HARD_THINGS = frozenset({"concrete", "pavers", "driveway"})  # kinds of existing things that are hard surface


def fall_away_from_house(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Hard surfaces near the house fall away from it, enough."""
    if not yard.hard:
        return
    if yard.job.site.house is None:
        yield not_checked(
            rule,
            "site",
            "Whether surfaces fall away from the house cannot be checked: the house is not on the plan.",
            missing="the house",
            remedy="Type the outline of the house on the Site sheet.",
        )
        return
    for zone_id in _beside_house(yard):
        yield from _fall_beside_house(yard, rule, zone_id)


def _fall_beside_house(yard: Yard, rule: Rule, zone_id: UUID) -> Iterator[Finding]:
    chosen, zone = yard.chosen[zone_id], yard.zones[zone_id]
    where, title = f"zone:{zone_id}", zone_title(zone)
    limit = limit_of(rule, yard.basis.firm.system, "at least") + ", away from the house"
    if chosen.fall is None:
        yield not_checked(
            rule,
            where,
            f"{title} lies by the house; its fall is not typed.",
            missing="fall",
            remedy=f"Type how much {title} falls, and which way.",
        )
        return
    measured = f"{format_slope(chosen.fall, yard.basis.firm.system)} {chosen.fall_toward}".strip()
    if chosen.fall >= rule.value - NEAR and chosen.fall_bearing is not None:
        yield from _fall_by_bearing(yard, rule, zone_id, limit)
    elif chosen.fall < rule.value - NEAR:
        what = f"{title} lies by the house and falls too little: water stays at the wall."
        yield broken(rule, where, what, measured=measured, limit=limit, remedy=f"Raise the fall of {title}.")
    elif not chosen.fall_toward:
        yield not_checked(
            rule,
            where,
            f"{title} lies by the house; which way it falls is not typed.",
            missing="direction of fall",
            remedy="Type what it falls toward: the lawn, the street, a drain.",
        )
    elif toward_house(chosen.fall_toward):
        remedy = "Turn the fall around, or name the drain that takes the water on the plan."
        what = f"{title} falls toward the house."
        yield broken(rule, where, what, measured=measured, limit=limit, remedy=remedy)


def _fall_by_bearing(yard: Yard, rule: Rule, zone_id: UUID, limit: str) -> Iterator[Finding]:
    """The fall away from each wall a zone lies in front of, by the direction it is drawn with.

    In an inner corner, where it falls away enough from one wall and runs along another, it warns and does not stop.
    """
    house, system = yard.job.site.house, yard.basis.firm.system
    falls = falls_from_house(yard.chosen[zone_id], house, _reach(yard)) if house else ()
    if not falls or falls[0].fall >= rule.value - NEAR:
        return
    worst, title = falls[0], zone_title(yard.zones[zone_id])
    wall = f"the wall that faces {compass_word(worst.faces, yard.job.site.north)}"
    along = worst.fall >= -NEAR
    measured = f"{format_slope(abs(worst.fall), system)} {'away from' if along else 'toward'} {wall}"
    if not along:
        what, remedy = (
            f"{title} falls toward the house.",
            "Turn the fall around, or name the drain that takes the water.",
        )
    else:
        what = f"{title} lies by the house and falls too little away from it: water stays at the wall."
        remedy = f"Turn the fall of {title} further away from that wall, or raise it."
    found = broken(rule, f"zone:{zone_id}", what, measured=measured, limit=limit, remedy=remedy)
    in_corner = along and falls[-1].fall >= rule.value - NEAR
    yield replace(found, severity=Severity.WARN, stop=Stop.NONE) if in_corner else found


def toward_house(words: str) -> bool:
    """Whether the words for where a surface falls mean the house itself.

    >>> toward_house("the house"), toward_house("away from the house"), toward_house("lawn")
    (True, False, False)
    """
    said = words.lower()
    return ("house" in said or "home" in said) and not ("away" in said or "from" in said)


def _beside_house(yard: Yard) -> list[UUID]:
    """Hard zones within reach of the house."""
    house, within = yard.job.site.house, _reach(yard)
    outlined = [key for key in yard.hard if key in yard.outlines]
    return [key for key in outlined if house and apart(yard.outlines[key], house) <= within + NEAR]


def _reach(yard: Yard) -> float:
    """How far from the house a fall away from it is asked for [ft]."""
    reach = yard.basis.rules.get(REACH)
    return in_feet(reach) if reach else 0.0


def paver_fall(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Paved surfaces away from the house drain as well; those by the house have a rule of their own."""
    near = set(_beside_house(yard))
    for zone_id, placed in yard.hard.items():
        fall = yard.chosen[zone_id].fall
        if zone_id in near:
            continue
        if fall is None:
            yield not_checked(
                rule,
                placed.where,
                f"{placed.place}: its fall is not typed.",
                missing="fall",
                remedy="Type the fall: 1/4 in per ft is usual for paving.",
            )
        elif fall < rule.value - NEAR:
            system = yard.basis.firm.system
            yield broken(
                rule,
                placed.where,
                f"{placed.place} falls too little: water will stand on it.",
                measured=format_slope(fall, system),
                limit=limit_of(rule, system, "at least"),
                remedy="Raise the fall, or choose a surface that lets water through.",
            )


def base_thickness(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """The compacted base of walks and patios is thick enough."""
    return _base(yard, rule, drives=False)


def base_thickness_drive(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """The compacted base of what is driven on is thick enough. A drive is known by its name."""
    return _base(yard, rule, drives=True)


def _base(yard: Yard, rule: Rule, *, drives: bool) -> Iterator[Finding]:
    system = yard.basis.firm.system
    for placed in yard.hard.values():
        base = yard.parameter(placed, "base")
        if base is None or is_drive(placed) != drives or base >= in_feet(rule) - NEAR:
            continue
        yield broken(
            rule,
            placed.where,
            f"{placed.place}: the base below {placed.title.lower()} is thin.",
            measured=format_length(base, system),
            limit=limit_of(rule, system, "at least"),
            remedy="Set the base thicker on the plan.",
        )


def is_drive(placed: Placed) -> bool:
    """Whether a surface is driven on, by the words it is called."""
    return called_a_drive(placed.zone.title if placed.zone else "", placed.work.title)


def coverage(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """The share of the lot under hard surface after the work stays within the local limit."""
    if not yard.hard:
        return
    site = yard.job.site
    lot = site.lot_area if site.lot_area is not None else area(site.lot) if site.lot else None
    inputs = {
        "the local limit": site.coverage_limit,
        "the lot's area": lot,
        "today's hard surface": site.coverage_before,
    }
    missing = [name for name, value in inputs.items() if value is None]
    undrawn = [zone_title(yard.zones[key]) for key in yard.hard if key not in yard.outlines]
    missing += [f"the outline of {title}" for title in undrawn]
    missing += [f"the area of {one.title or one.kind}" for one in _removed(yard) if _area(one) is None]
    if missing or not lot:
        names = ", ".join(missing) or "the lot's area"
        what = f"The share of hard surface on the lot cannot be checked without {names}."
        remedy = "Type it on the Site sheet; the town's zoning office names the limit."
        yield not_checked(rule, "site", what, missing=names, remedy=remedy)
        return
    after = hard_after(yard)
    allowed = (site.coverage_limit or 0.0) * rule.value
    if after > allowed * lot + NEAR:
        system = yard.basis.firm.system
        before = f"{format_share((site.coverage_before or 0.0) / lot)} today"
        yield broken(
            rule,
            "site",
            "More of the lot is hard surface after the work than the town allows.",
            measured=f"{format_share(after / lot)} ({format_area(after, system)}), {before}",
            limit=f"at most {format_share(allowed)} of the lot",
            remedy="Make surfaces smaller, take old ones out, ask the town for an exception before signing.",
        )


def hard_after(yard: Yard) -> float:
    """Hard surface after the work [sq ft]: today's, less what goes, and the new zones."""
    gone = sum(_area(one) or 0.0 for one in _removed(yard))
    new = sum(area(yard.outlines[key]) for key in yard.hard if key in yard.outlines)
    return max(0.0, (yard.job.site.coverage_before or 0.0) - gone) + new


def _removed(yard: Yard) -> list[Existing]:
    return [one for one in yard.job.existing if one.fate is Fate.GOES and one.kind in HARD_THINGS]


def _area(thing: Existing) -> float | None:
    return thing.area if thing.area is not None else area(thing.outline) if thing.outline else None


CHECKS: dict[str, Check] = {
    "fall-away-from-house": fall_away_from_house,
    "paver-fall": paver_fall,
    "base-thickness": base_thickness,
    "base-thickness-drive": base_thickness_drive,
    "coverage": coverage,
}
