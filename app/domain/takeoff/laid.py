"""Units of a work laid in its pattern: the counts that formulas read, and how much of them is ordered.

The crew uses more than geometry allows: ordered is the larger of the laid count, no off-cut used again, and what custom
orders beyond the area.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from app.domain.basis import Assembly, Basis, Firm, Material, Part, Price
from app.domain.errors import BadValue, OutlayError
from app.domain.findings import Finding, Severity
from app.domain.job import Work
from app.domain.plan.arcs import Arc, Point
from app.domain.plan.laying import Laid, Laying, Unit, lay
from app.domain.plan.laying import Part as LaidPart
from app.domain.plan.laying.borders import WIDEST_OPEN
from app.domain.plan.laying.pattern import SMALLEST_SHARE
from app.domain.plan.laying.starting import DOOR_NEAR, sight_of
from app.domain.plan.measures import bounds
from app.domain.plan.outline import Outline, segments
from app.domain.takeoff.buying import constant

BORDER_ROLES = ("border", "second border")  # by course, from the outline inward
COUNTS = ("laid_units", "border_units", "second_border_units")  # of the field and of each course
CLOSE_AFTER = 3  # closed jobs of the firm's own, after which it may order a finish closer
MIXED = ("two-size", "three-size", "pinwheel")
NOT_LAID: Mapping[str, Any] = {"laid": False, "border_units": 0.0, "second_border_units": 0.0, "border_length": 0.0}
LAID_SOURCES: Mapping[str, str] = dict.fromkeys(
    (*COUNTS, "laid_cuts", "laid_cut_length", "border_length"), "units laid one by one on the outline"
)


@dataclass(frozen=True, slots=True)
class LaidWork:
    """One work's units laid.

    `materials` and `units` are those of the field and the courses; `findings` what should be known.
    """

    laid: Laid | None
    materials: tuple[Material, ...]
    units: tuple[Unit, ...]
    orders: tuple["Ordering", ...]
    findings: tuple[Finding, ...]
    border_length: float = 0.0

    @property
    def measures(self) -> Mapping[str, Any]:
        """What formulas may read, by name."""
        if self.laid is None:
            return NOT_LAID
        parts = self.laid.parts
        found: dict[str, Any] = {**NOT_LAID, "laid": True, "border_length": self.border_length}
        found |= {name: part.units(part.opened) for name, part in zip(COUNTS, parts, strict=False)}
        found["laid_cuts"] = float(sum(part.cuts for part in parts))
        found["laid_cut_length"] = sum(part.cut_length for part in parts)
        return found

    def order_of(self, reads: frozenset[str] | tuple[str, ...]) -> "Ordering | None":
        """How units are ordered whose amount reads one of the counts."""
        return next((one for name, one in zip(COUNTS, self.orders, strict=False) if name in reads), None)


@dataclass(frozen=True, slots=True)
class Ordering:
    """How many units are ordered beyond those laid: `beyond` is a share of the laid count, `words` say why."""

    laid: float
    possible: float
    custom: float
    share: float
    beyond: float
    words: str


def laid_role(assembly: Assembly) -> str:
    """The role whose units a recipe lays in a pattern; empty where it lays none."""
    return next((part.role for part in assembly.parts if _counts(part, COUNTS[0])), "")


def with_borders(work: Work, assembly: Assembly, finishes: Mapping[str, str]) -> Mapping[str, str]:
    """Materials by role with those of the border courses; a course without its own has the field's."""
    role = laid_role(assembly)
    if work.laying is None or not work.laying.borders or not role:
        return finishes
    field = finishes.get(role) or next(part.material for part in assembly.parts if part.role == role)
    courses = zip(BORDER_ROLES, work.laying.borders, strict=False)
    return {**finishes, **{place: course.material or finishes.get(place) or field for place, course in courses}}


def lay_work(
    work: Work, assembly: Assembly, basis: Basis, finishes: Mapping[str, str], ground: tuple[Outline, tuple[Point, ...]]
) -> LaidWork | None:
    """Lay the units of a work on its outline, with the doors near it; None where no pattern is set or none can be.

    What cannot be laid is a finding, and then counted by area.
    """
    role = laid_role(assembly)
    if work.laying is None or not role:
        return None
    outline, doors = ground
    where = f"work:{work.id}"
    try:
        materials = tuple(_materials(assembly, basis, finishes, work.laying, role))
        units = tuple(unit_of(material, work.laying) for material in materials)
        laid = lay(outline, work.laying, units[0], units[1:], doors_near(outline, doors))
    except OutlayError as wrong:
        return LaidWork(None, (), (), (), (_not_laid(where, wrong),))
    straight = straight_words(outline, work.laying, doors_near(outline, doors))
    orders = tuple(
        ordering(part, unit, basis.firm, basis.prices.get(material.key), straight)
        for part, unit, material in zip(laid.parts, units, materials, strict=True)
    )
    lengths = sum(piece.length for piece in segments(outline)) if laid.borders else 0.0
    return LaidWork(laid, materials, units, orders, tuple(_findings(laid, where)), lengths * len(laid.borders))


def doors_near(outline: Outline, doors: tuple[Point, ...]) -> tuple[Point, ...]:
    """The doors that can decide where laying starts: a door elsewhere must not lay a zone anew."""
    west, south, east, north = bounds(outline)
    return tuple(
        (x, y)
        for x, y in doors
        if west - DOOR_NEAR <= x <= east + DOOR_NEAR and south - DOOR_NEAR <= y <= north + DOOR_NEAR
    )


def unit_of(material: Material, laying: Laying) -> Unit:
    """A material's unit with the joint it is laid with. Raises: BadValue where its size is not known."""
    if not material.length or not material.width:
        raise BadValue(f"{material.title} has no length and width in the library, so it cannot be laid piece by piece.")
    own = constant(material.joint)[0] if material.joint else 0.0
    joint = own if laying.joint is None else laying.joint
    return Unit(length=constant(material.length)[0], width=constant(material.width)[0], joint=joint)


def straight_words(outline: Outline, laying: Laying, doors: tuple[Point, ...]) -> str:
    """Why custom orders more than for straight work, in words; empty where it does not."""
    if laying.pattern == "herringbone-45" or _askew(outline, laying, doors):
        return "on the diagonal"
    if laying.pattern in MIXED:
        return "in mixed sizes"
    return "along curves" if any(isinstance(piece, Arc) for piece in segments(outline)) else ""


def _askew(outline: Outline, laying: Laying, doors: tuple[Point, ...]) -> bool:
    if laying.angle is None:
        return False
    apart = (laying.angle - sight_of(outline, doors).heading * 57.29577951308232) % 90.0
    return 5.0 < apart < 85.0


def ordering(part: LaidPart, unit: Unit, firm: Firm, price: Price | None, why_more: str) -> Ordering:
    """What is ordered of one part's units: the larger of the laid count and custom.

    After three closed jobs of its own on which a finish was laid, the firm may order that finish closer.
    """
    laid, possible = part.units(part.opened), part.units(part.reusing)
    own = price is not None and price.laid_jobs >= CLOSE_AFTER and price.order_beyond is not None
    if own and price and price.order_beyond is not None:
        share = float(price.order_beyond)
        why = f"as {price.laid_jobs} closed jobs of our own showed"
    else:
        share = float(firm.order_diagonal if why_more else firm.order_straight)
        why = f"as is customary {why_more or 'for straight work'}"
    by_area = part.ground / ((unit.length + unit.joint) * (unit.width + unit.joint))
    custom = by_area * (1 + share)
    beyond = max(0.0, custom / laid - 1.0) if laid else 0.0
    told = f"{laid:,.0f} laid with cuts; {share:.0%} beyond the area, {why}, is {custom:,.0f}"
    words = f"{told}. The larger is ordered. Using off-cuts again, {possible:,.0f} would be possible."
    return Ordering(laid, possible, custom, share, beyond, words)


def _counts(part: Part, name: str) -> bool:
    return name in part.amount.replace("(", " ").replace(")", " ").split()


def _materials(
    assembly: Assembly, basis: Basis, finishes: Mapping[str, str], laying: Laying, role: str
) -> Iterator[Material]:
    shipped = {part.role: part.material for part in assembly.parts}
    for place in (role, *BORDER_ROLES[: len(laying.borders)]):
        material = basis.materials.get(finishes.get(place) or shipped.get(place, ""))
        if material is None:
            raise BadValue(f"No material is chosen for the {place} yet, so no pattern can be laid.")
        yield material


def _mix(laid: Laid, where: str) -> Finding:
    """A pattern of several sizes: what is bought must hold them in this mix."""
    mix = ", ".join(size_words(size, count) for size, count in laid.field.by_size)
    return Finding(
        rule="laying-mixed-sizes",
        severity=Severity.NOTE,
        where=where,
        what=f"The pattern takes {mix}; they are priced as one material by their area.",
        measured=mix,
        remedy="Ask the supplier whether the bundle holds this mix, or buy the sizes apart.",
    )


def size_words(size: tuple[float, float], count: int) -> str:
    """Units of a size in words: `720 of 9 × 6 in`."""
    return f"{count:,} of {size[0] * 12:.4g} × {size[1] * 12:.4g} in"


def _not_laid(where: str, wrong: OutlayError) -> Finding:
    return Finding(
        rule="pattern-not-laid",
        severity=Severity.WARN,
        where=where,
        what=f"The pattern is not laid: {wrong.sentence} Until then units are counted by area.",
        measured=wrong.sentence,
        remedy="Change the pattern, the border or the unit.",
    )


def _findings(laid: Laid, where: str) -> Iterator[Finding]:
    smallest = SMALLEST_SHARE if laid.laying.smallest is None else laid.laying.smallest
    small = laid.field.slivers
    if small > max(3, len(laid.field.pieces.shares) // 4):
        yield Finding(
            rule="laying-small-pieces",
            severity=Severity.NOTE,
            where=where,
            what=f"{small} of {len(laid.field.pieces.shares)} cut pieces are smaller than {smallest:.0%} of a unit.",
            measured=str(small),
            limit=f"{smallest:.0%} of a unit",
            remedy="Look for a better start line, turn the pattern, or take a border course more or less.",
            source="Interlocking Concrete Pavement Institute, tolerances: no piece under a third where wheels go",
        )
    if len(laid.field.by_size) > 1:
        yield _mix(laid, where)
    for part in laid.borders:
        if part.widest > WIDEST_OPEN:
            yield Finding(
                rule="laying-fan-opens",
                severity=Severity.WARN,
                where=where,
                what=f"On an arc the joints of the border open to {part.widest * 12:.2f} in at their wide side; "
                "set closer there, they would close at the other side.",
                measured=f"{part.widest * 12:.2f} in",
                limit=f"{WIDEST_OPEN * 12:g} in",
                remedy="Taper the units with the saw, take smaller units, or widen the arc.",
                source="Unified Facilities Guide Specification 02780: gaps over 1/4 in are rejected",
            )
