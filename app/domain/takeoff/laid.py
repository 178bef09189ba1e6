"""Units of a work laid in its pattern: the counts that formulas read, and how much of them is ordered.

The crew uses more than geometry allows: ordered is the larger of the laid count, no off-cut used again, and what custom
orders beyond the area. Where closed jobs of the firm's own say what its crew uses beyond the laid count, that is
ordered: the cuts are in the count, so what the jobs say of breakage is added to it alone.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from app.domain.basis import Assembly, Basis, LearnedWaste, Material, Part
from app.domain.errors import BadValue, OutlayError
from app.domain.findings import Finding, Severity
from app.domain.job import Work
from app.domain.plan.arcs import Arc, Point
from app.domain.plan.laying import Laid, Laying, Unit, lay
from app.domain.plan.laying import Part as LaidPart
from app.domain.plan.laying.borders import WIDEST_OPEN
from app.domain.plan.laying.pattern import MIXED, SMALLEST_SHARE
from app.domain.plan.laying.sides import sides_of
from app.domain.plan.laying.starting import DOOR_NEAR, sight_of
from app.domain.plan.measures import bounds
from app.domain.plan.outline import Outline, rings_of, segments
from app.domain.takeoff.buying import constant

BORDER_ROLES = ("border", "second border")  # by course, from the outline inward
COUNTS = ("laid_units", "border_units", "second_border_units")  # of the field and of each course
CLOSE_AFTER = 3  # closed jobs of the firm's own, after which it may order a finish closer
SIZE_ROLES = ("second size", "third size")  # of a pattern of mixed sizes, where each is bought as its own material
SIZE_COUNTS = ("second_size_units", "third_size_units")
WITH_PATTERN = frozenset(
    (*BORDER_ROLES, *SIZE_ROLES)
)  # roles that go with the pattern: chosen there, or the field's own
SAME_SIZE = 3 / 8 / 12  # ft: nominal sides, with or without the joint, are of one size within this
NOT_LAID: Mapping[str, Any] = {
    "laid": False,
    **dict.fromkeys(("border_units", "second_border_units", "border_length", *SIZE_COUNTS), 0.0),
}
LAID_SOURCES: Mapping[str, str] = dict.fromkeys(
    (*COUNTS, *SIZE_COUNTS, "laid_cuts", "laid_cut_length", "border_length"), "units laid one by one on the outline"
)


@dataclass(frozen=True, slots=True)
class LaidWork:
    """One work's units laid.

    `materials` and `units` are those of the field and the courses; `findings` what should be known. `apart` are the
    field's sizes that are bought as materials of their own, by their place among its sizes.
    """

    laid: Laid | None
    materials: tuple[Material, ...]
    units: tuple[Unit, ...]
    orders: tuple["Ordering", ...]
    findings: tuple[Finding, ...]
    border_length: float = 0.0
    apart: Mapping[int, Material] = field(default_factory=dict)

    @property
    def measures(self) -> Mapping[str, Any]:
        """What formulas may read, by name."""
        if self.laid is None:
            return NOT_LAID
        parts = self.laid.parts
        found: dict[str, Any] = {**NOT_LAID, "laid": True, "border_length": self.border_length}
        found |= {name: part.units(part.opened) for name, part in zip(COUNTS, parts, strict=False)}
        if self.apart:
            own = _sizes_of_its_own(self.laid.field, self.apart)
            found["laid_units"] = _units(self.laid.field, self.laid.field.opened, own)
        found |= {SIZE_COUNTS[at - 1]: float(self.laid.field.opened[at]) for at in self.apart}
        found["laid_cuts"] = float(sum(part.cuts for part in parts))
        found["laid_cut_length"] = sum(part.cut_length for part in parts)
        return found

    def order_of(self, reads: frozenset[str] | tuple[str, ...]) -> "Ordering | None":
        """How units are ordered whose amount reads one of the counts."""
        return next((one for one in self.orders if one.count in reads), None)


@dataclass(frozen=True, slots=True)
class Ordering:
    """How many units are ordered beyond those laid: `beyond` is a share of the laid count, `words` say why.

    `count` names the measure that gives the laid count.
    """

    count: str
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
    """Materials by role with those of the border courses and sizes; a course without its own has the field's."""
    role, laying = laid_role(assembly), work.laying
    if laying is None or not (laying.borders or laying.other_sizes) or not role:
        return finishes
    field = finishes.get(role) or next(part.material for part in assembly.parts if part.role == role)
    courses = zip(BORDER_ROLES, laying.borders, strict=False)
    sizes = {place: own for place, own in zip(SIZE_ROLES, laying.other_sizes, strict=False) if own}
    borders = {place: course.material or finishes.get(place) or field for place, course in courses}
    return {**finishes, **borders, **sizes}


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
        apart = dict(_bought_apart(assembly, basis, work.laying, laid))
    except OutlayError as wrong:
        return LaidWork(None, (), (), (), (_not_laid(where, wrong),))
    straight = straight_words(outline, work.laying, doors_near(outline, doors))
    own = _sizes_of_its_own(laid.field, apart)
    orders = [
        ordering(part, unit, Custom.of(basis, material, straight), count=count, sizes=sizes)
        for part, unit, material, count, sizes in zip(
            laid.parts, units, materials, COUNTS, (own, None, None), strict=False
        )
    ]
    for at, one in apart.items():
        more, custom = SIZE_COUNTS[at - 1], Custom.of(basis, one, straight)
        orders.append(ordering(laid.field, units[0], custom, count=more, sizes=(at,)))
    lengths = _border_length(outline, work.laying) if laid.borders else 0.0
    findings = tuple(_findings(laid, apart, where))
    return LaidWork(laid, materials, units, tuple(orders), findings, lengths * len(laid.borders), apart)


def _border_length(outline: Outline, laying: Laying) -> float:
    """How long the edges are that a border course goes along [ft]."""
    outer = sum(side.length for side in sides_of(outline, laying.along) if side.chosen)
    openings = rings_of(outline)[1:] if laying.inner else ()
    return outer + sum(piece.length for ring in openings for piece in ring)


def _bought_apart(assembly: Assembly, basis: Basis, laying: Laying, laid: Laid) -> Iterator[tuple[int, Material]]:
    """Sizes of the field that are bought as materials of their own. Raises: BadValue for a unit of another size."""
    for at, key in enumerate(laying.other_sizes, 1):
        role = SIZE_COUNTS[at - 1] if at <= len(SIZE_COUNTS) else ""
        if not key or at >= len(laid.field.sizes) or not any(_counts(part, role) for part in assembly.parts):
            continue
        material = basis.materials.get(key)
        if material is None:
            raise BadValue("The material of a second or third size is not in the library (any more). Choose another.")
        unit, size = unit_of(material, laying), laid.field.sizes[at]
        sides = max(unit.length, unit.width), min(unit.length, unit.width)
        if max(abs(sides[0] - size[0]), abs(sides[1] - size[1])) > SAME_SIZE:
            wanted, typed = (f"{long * 12:.4g} × {short * 12:.4g} in" for long, short in (size, sides))
            raise BadValue(
                f"This pattern takes {wanted} there; {material.title} is {typed}. Choose a unit of that size."
            )
        yield at, material


def _sizes_of_its_own(field: LaidPart, apart: Mapping[int, Material]) -> tuple[int, ...]:
    """The sizes that the field's own material is bought for."""
    return tuple(at for at in range(len(field.sizes)) if at not in apart)


def _units(part: LaidPart, counts: tuple[int, ...], sizes: tuple[int, ...]) -> float:
    """Units of some sizes, as units of the first of them by area."""
    faces = [part.sizes[at][0] * part.sizes[at][1] for at in sizes]
    return round(sum(counts[at] * face for at, face in zip(sizes, faces, strict=True)) / faces[0], 9)


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


@dataclass(frozen=True, slots=True)
class Custom:
    """How a finish is ordered: by the firm's custom, beyond the area, or as its own closed jobs showed.

    `share` is beyond the area, with `why` in words; `learned` what a crew uses beyond the units laid, where jobs say.
    """

    share: float
    why: str
    learned: LearnedWaste | None = None

    @classmethod
    def of(cls, basis: Basis, material: Material, why_more: str) -> "Custom":
        """How a material is ordered that is laid in a way that wants more (`why_more`), or straight."""
        price, firm = basis.prices.get(material.key), basis.firm
        if price is not None and price.laid_jobs >= CLOSE_AFTER and price.order_beyond is not None:
            why = f"as {price.laid_jobs} closed jobs of our own showed"
            return cls(float(price.order_beyond), why, material.laid_beyond)
        share = firm.order_diagonal if why_more else firm.order_straight
        return cls(float(share), f"as is customary {why_more or 'for straight work'}", material.laid_beyond)

    @property
    def enough(self) -> bool:
        """Whether jobs alone decide; fewer never order less than custom does."""
        return self.learned is not None and len(self.learned.job_ids) >= CLOSE_AFTER


def ordering(
    part: LaidPart, unit: Unit, custom: Custom, *, count: str = COUNTS[0], sizes: tuple[int, ...] | None = None
) -> Ordering:
    """What is ordered of one part's units (of all its `sizes`, or of some): the larger of the laid count and custom.

    After three closed jobs of its own on which a finish was laid, the firm may order that finish closer: beyond the
    area as typed in the price book, or beyond the units laid as learned, which then decides alone.
    """
    sizes = sizes or tuple(range(len(part.sizes)))
    laid, possible = _units(part, part.opened, sizes), _units(part, part.reusing, sizes)
    long, short = part.sizes[sizes[0]] if sizes[0] else (unit.length, unit.width)
    by_area = part.ground * _share(part, sizes) / ((long + unit.joint) * (short + unit.joint))
    usual = by_area * (1 + custom.share)
    told = f"{laid:,.0f} laid with cuts"
    said = [] if custom.enough else [f"{custom.share:.0%} beyond the area, {custom.why}, is {usual:,.0f}"]
    wanted = [] if custom.enough else [usual]
    if custom.learned is not None:
        by_jobs, jobs = laid * (1 + custom.learned.share), len(custom.learned.job_ids)
        showed = f"{jobs} closed jobs of our own showed" if jobs != 1 else "one closed job of our own showed"
        said.append(f"{custom.learned.share:.1%} beyond them, as {showed}, is {by_jobs:,.0f}")
        wanted.append(by_jobs)
    ordered = max(wanted)
    beyond = max(0.0, ordered / laid - 1.0) if laid else 0.0
    tail = "" if len(wanted) == 1 and custom.enough else " The larger is ordered."
    words = f"{'; '.join((told, *said))}.{tail} Using off-cuts again, {possible:,.0f} would be possible."
    return Ordering(count, laid, possible, ordered, custom.share, beyond, words)


def _share(part: LaidPart, sizes: tuple[int, ...]) -> float:
    """The share of a part's ground that some of its sizes cover."""
    areas = [count * long * short for count, (long, short) in zip(part.opened, part.sizes, strict=True)]
    return sum(areas[at] for at in sizes) / sum(areas) if sum(areas) else 0.0


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


def _mix(laid: Laid, apart: Mapping[int, Material], where: str) -> Finding:
    """A pattern of several sizes bought as one material: what is bought must hold them in this mix."""
    own = _sizes_of_its_own(laid.field, apart)
    mix = ", ".join(size_words(laid.field.sizes[at], laid.field.opened[at]) for at in own)
    return Finding(
        rule="laying-mixed-sizes",
        severity=Severity.NOTE,
        where=where,
        what=f"The pattern takes {mix}; they are priced as one material by their area.",
        measured=mix,
        remedy="Ask the supplier whether the bundle holds this mix, or choose a material for each size in the pattern.",
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


def _findings(laid: Laid, apart: Mapping[int, Material], where: str) -> Iterator[Finding]:
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
    if len(laid.field.by_size) > 1 and len(_sizes_of_its_own(laid.field, apart)) > 1:
        yield _mix(laid, apart, where)
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
