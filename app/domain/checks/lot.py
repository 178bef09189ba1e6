"""The lot: nothing over its line, no water sent across it, setbacks and easements known; open water and children."""

from collections.abc import Iterator
from math import cos, radians, sin

import shapely

from app.domain.basis import Rule
from app.domain.checks.ends import takers
from app.domain.checks.plants import CHILDREN
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked
from app.domain.checks.walking import Shape, shape_of
from app.domain.checks.yard import Yard
from app.domain.findings import Finding
from app.domain.job import Alternative, ZoneKind
from app.domain.takeoff.lot_limits import house_off_lot
from app.domain.takeoff.measures import zone_title
from app.domain.units import format_area, format_length

STANDS = frozenset({"walls and steps", "structures", "cooking", "fire", "water"})  # groups of what setbacks speak of
HOT_TUB = "hot-tub"  # caution of the pad of one
GRATE = "basin grate"  # role of the part that closes water off
LOW_EDGE = 0.25  # ft: corners this near to the lowest one make up the low edge
TAKEN = 3.0  # ft: a drain this near to the low edge takes its water. Assumption


def over_lot_line(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """No zone lies over the lot line."""
    lot, system = yard.job.site.lot, yard.basis.firm.system
    if not yard.outlines:
        return
    if lot is None:
        yield not_checked(
            rule,
            "site",
            "Whether everything lies on the lot cannot be checked: the lot is not on the plan.",
            missing="the lot",
            remedy="Type the outline of the lot on the Site sheet.",
        )
        return
    ground = shape_of(lot)
    for zone_id, outline in yard.outlines.items():
        shape = shape_of(outline)
        over = 0.0 if ground.covers(shape) else shape.difference(ground).area
        if over > rule.value + NEAR:
            title = zone_title(yard.zones[zone_id])
            yield broken(
                rule,
                f"zone:{zone_id}",
                f"{title} lies over the lot line.",
                measured=format_area(over, system),
                limit="on the lot",
                remedy="Draw it back, or correct the lot. Lot lines on this plan are no survey.",
            )


def house_on_lot(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """The house lies on the lot: where it does not, one of the two was typed from another corner."""
    off, system = house_off_lot(yard.job), yard.basis.firm.system
    if off > rule.value + NEAR:
        yield broken(
            rule,
            "site",
            "The house lies partly outside of the lot: one of them was typed from another corner, or is too small.",
            measured=f"{format_area(off, system)} of it outside",
            limit="on the lot",
            remedy="Look at both on the Site sheet: their first points are measured from the same datum. "
            "Lot lines on this plan are no survey.",
        )


def fall_to_line(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A hard surface does not send its water over the lot line; a drain along its low edge answers."""
    lot, system = yard.job.site.lot, yard.basis.firm.system
    if lot is None:
        return  # said once for all that asks for it
    line = shape_of(lot).boundary
    for zone_id in yard.hard:
        way = yard.chosen.get(zone_id)
        low = _low_edge(way) if way is not None else None
        if low is None or low.distance(line) >= in_feet(rule) - NEAR:
            continue
        if any(shape.distance(low) <= TAKEN + NEAR for shape in takers(yard)):
            continue
        title = zone_title(yard.zones[zone_id])
        yield broken(
            rule,
            f"zone:{zone_id}",
            f"{title} falls toward the lot line, and no drain takes its water.",
            measured=f"low edge {format_length(low.distance(line), system)} from the lot line",
            limit=limit_of(rule, system, "at least"),
            remedy="Turn its fall, drain its low edge to where the water may go, or have the town's word for it.",
        )


def _low_edge(way: Alternative) -> Shape | None:
    """The lowest corners of a surface together; None where it has no fall, or no direction."""
    if way.outline is None or not way.fall or way.fall_bearing is None:
        return None
    east, north = sin(radians(way.fall_bearing)), cos(radians(way.fall_bearing))
    corners = shapely.get_coordinates(shape_of(way.outline))
    down = corners[:, 0] * east + corners[:, 1] * north
    return shapely.multipoints(corners[down >= down.max() - LOW_EDGE]).convex_hull


def lot_rights(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Setbacks and easements are asked about before something is built that stays."""
    if not any(one.assembly.group in STANDS for one in yard.placed):
        return
    job, site = yard.job, yard.job.site
    asked = {"setbacks": site.setbacks.strip() or job.setbacks, "easements": site.easements.strip() or job.easements}
    missing = [name for name, told in asked.items() if not told]
    if missing:
        yield not_checked(
            rule,
            "site",
            f"Whether all may stand where it is drawn cannot be checked: {' and '.join(missing)} not asked about.",
            missing=", ".join(missing),
            remedy="Ask the town and look into the deed; type what they say on the Site sheet, none too.",
        )


def open_water(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Open water is closed off where children were spoken of; elsewhere its depth is held against the town's rule."""
    words = " ".join((*(need.words for need in yard.job.needs), *(zone.words for zone in yard.job.zones)))
    children = bool(CHILDREN.search(words)) or any(zone.kind is ZoneKind.PLAY for zone in yard.job.zones)
    system = yard.basis.firm.system
    for zone in yard.job.zones:
        if zone.kind is not ZoneKind.WATER or zone.id not in yard.ways or _closed_off(yard, str(zone.id)):
            continue
        limit = f"no open water, or a barrier from {format_length(in_feet(rule), system)} of depth"
        if children:
            yield broken(
                rule,
                f"zone:{zone.id}",
                f"{zone_title(zone)} is open water, and children are to be here. A child drowns in inches.",
                measured="open water, children",
                limit=limit,
                remedy="Choose a hidden basin under a foot-rated grate, or the barrier the town asks for.",
            )
        else:
            yield not_checked(
                rule,
                f"zone:{zone.id}",
                f"{zone_title(zone)} is open water: from what depth the town asks for a barrier is to be asked.",
                missing="its depth, the town's rule",
                remedy="Ask the town, and settle this with its word; a child drowns in inches.",
            )


def _closed_off(yard: Yard, zone_id: str) -> bool:
    """Whether all water of a zone lies below a grate, or is a hot tub's, which has cautions of its own."""
    own = [one for one in yard.placed if one.zone is not None and str(one.zone.id) == zone_id]
    if any(HOT_TUB in yard.cautions(one) for one in own):
        return True
    wet = [one for one in own if one.assembly.group == "water"]
    return bool(wet) and all(any(part.role == GRATE for part in yard.parts(one)) for one in wet)


CHECKS: dict[str, Check] = {
    "over-lot-line": over_lot_line,
    "house-off-lot": house_on_lot,
    "fall-to-line": fall_to_line,
    "lot-rights": lot_rights,
    "open-water": open_water,
}
