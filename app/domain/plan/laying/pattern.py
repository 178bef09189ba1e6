"""How units are laid on a zone, as somebody chose it: pattern, direction, joint, start line, borders."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.domain.errors import BadValue

Point = tuple[float, float]

# key → words; what each consists of stands in `modules`
PATTERNS: Mapping[str, str] = {
    "stack": "Stack bond",
    "running-half": "Running bond, half",
    "running-third": "Running bond, third",
    "herringbone-45": "Herringbone, 45°",
    "herringbone-90": "Herringbone, 90°",
    "basket": "Basket weave",
    "two-size": "Two sizes in courses",
    "three-size": "Three sizes in courses",
    "pinwheel": "Large squares with small ones",
}
BORDERS: Mapping[str, str] = {"soldier": "Soldier: units across the edge", "sailor": "Sailor: units along the edge"}
ENDS: Mapping[str, str] = {"through": "Run through to the edge", "miter": "Mitered"}
CORNERS: Mapping[str, str] = {"miter": "Mitered", "butt": "Butted"}
MOST_BORDERS = 2
MIXED = ("two-size", "three-size", "pinwheel")  # patterns of several sizes
FURTHEST = 100_000.0  # ft: from the datum to where laying starts
WIDEST_JOINT = 2 / 12  # ft
SMALLEST_SHARE = 1 / 3  # of a unit. ICPI tolerances: no piece under a third where wheels go; good practice anywhere


@dataclass(frozen=True, slots=True, kw_only=True)
class BorderCourse:
    """One course along the outline: its material (empty: that of the field) and how its units lie."""

    material: str = ""
    pattern: str = "soldier"


@dataclass(frozen=True, slots=True, kw_only=True)
class Laying:
    """A pattern laid on a zone.

    `angle` [degrees counterclockwise from the plan's right] is the line the courses follow; None: chosen as a good
    layer would, by door, longest edge and sight. A herringbone of 45° turns by 45° from that line. `start` [ft] is a
    point where joints meet; None: chosen. `joint` [ft]; None: the material's own. `borders` go from the outline
    inward. `smallest` is the share of a unit that no piece should fall below; None: a third.
    """

    pattern: str = "running-half"
    angle: float | None = None
    joint: float | None = None
    start: Point | None = None
    borders: tuple[BorderCourse, ...] = ()
    corners: str = "miter"
    smallest: float | None = None
    inner: bool = False  # whether the borders go around openings in the outline too
    other_sizes: tuple[str, ...] = ()  # materials that the second and third size are bought as; empty: the field's own
    along: tuple[Point, ...] = ()  # points on the sides of the outer edge that carry the borders; empty: all do
    ends: str = "through"  # how borders end where they stop at a corner
    because: str = ""  # why laying starts there, where it was found and not set by hand


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """What is laid: the longer and the shorter side of its face [ft], and the joint [ft] left around it.

    With a joint of 0 the sides are nominal: half a joint is within them on each side.
    """

    length: float
    width: float
    joint: float = 0.0


def checked_unit(unit: Unit) -> Unit:
    """The unit with its longer side first. Raises: BadValue for sides or joints that cannot be laid."""
    long, short = max(unit.length, unit.width), min(unit.length, unit.width)
    if not 1 / 12 <= short <= long <= 12:
        raise BadValue(
            f"A unit of {long * 12:g} by {short * 12:g} in cannot be laid. Its sides must lie between 1 in and 12 ft."
        )
    if not 0 <= unit.joint <= WIDEST_JOINT:
        raise BadValue(f"A joint of {unit.joint * 12:g} in was typed. It must lie between 0 and 2 in.")
    return Unit(length=long, width=short, joint=unit.joint)


def checked_laying(laying: Laying) -> Laying:
    """The laying itself. Raises: BadValue for a pattern, corner, border or share that is not known."""
    known = (
        ("pattern", laying.pattern, PATTERNS),
        ("corners", laying.corners, CORNERS),
        ("ends", laying.ends, ENDS),
        *(("borders", course.pattern, BORDERS) for course in laying.borders),
    )
    for field, value, among in known:
        if value not in among:
            raise BadValue(f"“{value}” is not known here. Choose one of: {', '.join(among)}.", field=field)
    if len(laying.borders) > MOST_BORDERS:
        raise BadValue(f"{len(laying.borders)} border courses are too many. Choose one or two.", field="borders")
    numbers = (*(laying.start or ()), laying.angle or 0.0)
    if not all(abs(one) <= FURTHEST for point in laying.along for one in point):
        raise BadValue("The sides of the border cannot lie there. Choose them again.", field="border")
    if not all(abs(one) <= FURTHEST for one in numbers):
        raise BadValue(
            f"The start line cannot lie there. Give a point within {FURTHEST:,.0f} ft and degrees.", field="start_x"
        )
    if laying.smallest is not None and not 0 <= laying.smallest <= 0.5:
        raise BadValue("The smallest piece is a share of a unit from 0 to a half.", field="smallest")
    return laying
