"""Setbacks and easements, measured: what is built keeps off the lot lines, and out of ground others have a right to.

Distances are those that were typed, each with who says so; a lot line here is no survey. What is asked of a kind of
thing along a side that nobody typed is said, and not taken for nothing.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

import shapely

from app.domain.basis import Rule
from app.domain.checks.gates import GATE
from app.domain.checks.lot import HOT_TUB
from app.domain.checks.on_edges import along_edge
from app.domain.checks.plants import trees_where_they_stand
from app.domain.checks.rules import NEAR, Check, broken, not_checked
from app.domain.checks.walking import Shape, half_across, half_depth, line_of, shape_of
from app.domain.checks.yard import Placed, Yard
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import BUILT, LIMITED, LOT_SIDES, Easement, Run, RunKind, Setback
from app.domain.keeping import KeptByInputs, Same
from app.domain.plan.arcs import Point
from app.domain.plan.lot_lines import lines_of, way_of
from app.domain.plan.outline import Outline
from app.domain.takeoff.drawn import THIN
from app.domain.takeoff.green import is_hard
from app.domain.takeoff.lot_limits import LineOfLot, easement_ground, lot_lines, setback_of
from app.domain.units import format_area, format_length

BURIED = frozenset({RunKind.GAS, RunKind.PIPE, RunKind.CONDUIT, RunKind.DRAIN})  # nothing of them stands
OF_GROUP = {
    "structures": "structure",
    "cooking": "structure",
    "walls and steps": "wall",
    "fire": "fire",
    "water": "water",
}
NONE_ASKED = frozenset({"none", "no", "no setbacks", "no easements", "none asked"})


@dataclass(frozen=True, slots=True)
class Stands:
    """Something that setbacks and easements speak of: where, in words, its kind (a key of `LIMITED`), its ground."""

    where: str
    words: str
    kind: str
    shape: Shape


@dataclass(frozen=True, slots=True)
class Held:
    """What of something lies in an easement: ground [sq ft], or how many of the trees of a row, and how deep [ft]."""

    area: float = 0.0
    deep: float = 0.0
    trees: int = 0
    of: int = 0


_ONE: KeptByInputs[Stands] = KeptByInputs(2048, each=1)
_ALL: KeptByInputs[tuple[Stands, ...]] = KeptByInputs(32)
_AWAY: KeptByInputs[tuple[float, ...]] = KeptByInputs(2048, each=1)
_HELD: KeptByInputs[Held] = KeptByInputs(2048, each=1)


def stands(yard: Yard) -> tuple[Stands, ...]:
    """All that is built or planted of these kinds and lies on the plan, each place once for a kind.

    Each is the very same while what it rests on is.
    """
    return _ALL.get_or_make(yard.job.head.id, (Same(yard),), lambda: tuple(_stands(yard)))


def _stands(yard: Yard) -> Iterator[Stands]:
    runs = {f"run:{one.id}": one for one in yard.job.runs if len(one.points) > 1}
    features = {f"feature:{one.id}": one for one in yard.job.features if one.x is not None and one.y is not None}
    met: set[tuple[str, str]] = set()
    for placed in yard.placed:
        run, thing = runs.get(placed.where), features.get(placed.where)
        if placed.where.startswith("edge:"):
            yield from _on_edge(yard, placed)
            continue
        kind = _kind_of(yard, placed, run)
        if not kind or (placed.where, kind) in met:
            continue
        met.add((placed.where, kind))
        if placed.where.startswith("zone:") and placed.zone is not None and placed.zone.id in yard.outlines:
            outline = yard.outlines[placed.zone.id]
            yield _one(placed.where, placed.place, kind, (outline,), partial(shape_of, outline))
        elif run is not None:
            half = half_depth(yard, run) or THIN
            yield _one(placed.where, placed.place, kind, (run.points, run.rises, half), partial(_across, run, half))
        elif thing is not None:
            at, half = (thing.x or 0.0, thing.y or 0.0), half_across(yard, thing) or THIN
            yield _one(placed.where, placed.place, kind, (at, half), partial(_disk, at, half))
    for row in trees_where_they_stand(yard):
        if len(row.points):
            where = f"planting:{row.planting.id}"
            yield _one(where, row.title, "tree", (row.points,), partial(shapely.multipoints, row.points))


def _on_edge(yard: Yard, placed: Placed) -> Iterator[Stands]:
    found = along_edge(yard, placed)
    if found is not None:
        kind, shape = found
        yield _one(placed.where, f"{placed.title} ({placed.place})", kind, (Same(shape),), lambda: shape)


def _one(where: str, words: str, kind: str, rests_on: tuple[object, ...], shape: Callable[[], Shape]) -> Stands:
    return _ONE.get_or_make(f"{where}|{kind}", (words, *rests_on), lambda: Stands(where, words, kind, shape()))


def _across(run: Run, half: float) -> Shape:
    return line_of(run).buffer(half, cap_style="flat")


def _disk(at: Point, half: float) -> Shape:
    return shapely.points(at).buffer(half)


def _away(one: Stands, lot: Outline) -> tuple[float, ...]:
    """How far something stands from each line of the lot [ft]; none from the nearest where it stands outside."""

    def measure() -> tuple[float, ...]:
        far = [float(one.shape.distance(way_of(line))) for line in lines_of(lot)]
        if not one.shape.intersects(shape_of(lot)):
            far[far.index(min(far))] = 0.0
        return tuple(far)

    return _AWAY.get_or_make(f"{one.where}|{one.kind}", (Same(one), lot), measure)


def _kind_of(yard: Yard, placed: Placed, run: Run | None) -> str:
    """What setbacks call a work; empty where they do not speak of it."""
    recipe = placed.assembly
    if run is not None and (run.kind in BURIED or recipe.group == "surfaces"):
        return ""
    if HOT_TUB in yard.cautions(placed):
        return "water"
    if is_hard(recipe) or (recipe.measures == "zone" and recipe.group == "walls and steps"):
        return "hard"
    if recipe.group == "structures" and (run is not None or any(part.role == GATE for part in yard.parts(placed))):
        return "fence"
    return OF_GROUP.get(recipe.group, "")


def off_lot_lines(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """What is built keeps the distances from the lot lines that were typed; what was not typed is said."""
    rows, site = yard.job.setbacks, yard.job.site
    if not rows and site.setbacks.strip().lower().rstrip(".") in {"", *NONE_ASKED}:
        return  # whether anybody asked is a rule of its own
    there = stands(yard)
    if not there:
        return
    lines = lot_lines(yard.job)
    missing = list(_not_typed(yard, there, lines))
    if missing:
        yield not_checked(
            rule,
            "site",
            f"What must keep off the lot lines was not all measured. Missing: {'; '.join(missing)}.",
            missing="; ".join(missing),
            remedy="Ask the town and the association, and type each distance with who says so on the Site sheet; "
            "0 where none is asked.",
        )
    if lines and rows:
        yield from _too_near(yard, rule, there, lines)


def _not_typed(yard: Yard, there: Sequence[Stands], lines: Sequence[LineOfLot]) -> Iterator[str]:
    """What measuring lacks, in words."""
    rows, system = yard.job.setbacks, yard.basis.firm.system
    if not rows:
        yield "the distances, which stand in words only"
        return
    if not lines:
        yield "the lot"
        return
    for one in rows:
        if one.distance is None:
            yield f"the distance of {said_of(one)}"
    if any(one.side for one in rows):
        for line in lines:
            if not line.side:
                yield f"which side the lot line of {format_length(line.line.length, system)} to the {line.facing} is"
    sides = [side for side in LOT_SIDES if any(line.side == side for line in lines)]
    for kind in sorted({one.kind for one in there} & BUILT, key=list(LIMITED).index):
        open_sides = [side for side in sides if setback_of(rows, kind, side) is None]
        if open_sides:
            yield f"{LIMITED[kind].lower()}, {' and '.join(open_sides)}"


def said_of(row: Setback) -> str:
    """A row in words: `walls, columns, boulders, rear`."""
    kind = LIMITED.get(row.kind, "all that is built").lower()
    return f"{kind}, {LOT_SIDES[row.side].lower()}" if row.side in LOT_SIDES else f"{kind}, every lot line"


def _too_near(yard: Yard, rule: Rule, there: Sequence[Stands], lines: Sequence[LineOfLot]) -> Iterator[Finding]:
    system, lot = yard.basis.firm.system, yard.job.site.lot
    if lot is None:
        return
    rows = _rows(yard, there, lines)
    for one in there:
        worst: dict[str, tuple[float, float, Setback]] = {}
        for line, far in zip(lines, _away(one, lot), strict=True):
            row = rows[one.kind, line.side]
            short = row.distance - far if row is not None and row.distance is not None else 0.0
            if row is not None and short > max(rule.value + NEAR, worst.get(line.side, (0.0,))[0]):
                worst[line.side] = (short, far, row)
        for side, (short, far, row) in worst.items():
            named = f"the {side} lot line" if side else "the lot line"
            yield _region(
                broken(
                    _said_by(rule, row.source),
                    one.where,
                    f"{one.words} stands {format_length(far, system)} from {named}.",
                    measured=f"{format_length(far, system)} to {named}",
                    limit=f"at least {format_length(row.distance or 0.0, system)} ({said_of(row)})",
                    remedy=f"Move it in by {format_length(short, system)}, or have a variance and settle this with its "
                    "number. Lot lines on this plan are no survey: where it is close, have one made.",
                )
            )


def _rows(yard: Yard, there: Sequence[Stands], lines: Sequence[LineOfLot]) -> dict[tuple[str, str], Setback | None]:
    """The row that holds for each kind that stands there, along each side."""
    kinds, sides = {one.kind for one in there}, {line.side for line in lines}
    return {(kind, side): setback_of(yard.job.setbacks, kind, side) for kind in kinds for side in sides}


@dataclass(frozen=True, slots=True)
class Nearest:
    """Of one row: what stands nearest to the lot lines it speaks of, in words, and how far off [ft]."""

    row: Setback
    words: str = ""
    away: float | None = None

    @property
    def of(self) -> str:
        """What the row speaks of."""
        return said_of(self.row)


def nearest_by_row(yard: Yard) -> tuple[Nearest, ...]:
    """For every setback that was typed, what stands nearest of all that it holds for."""
    there, lines = stands(yard), lot_lines(yard.job)
    return tuple(_nearest(yard, row, there, lines) for row in yard.job.setbacks)


def _nearest(yard: Yard, row: Setback, there: Sequence[Stands], lines: Sequence[LineOfLot]) -> Nearest:
    lot, rows = yard.job.site.lot, _rows(yard, there, lines)
    found = [
        (far, one.words)
        for one in there
        for line, far in zip(lines, _away(one, lot) if lot else (), strict=True)
        if rows[one.kind, line.side] is row
    ]
    away, words = min(found, default=(None, ""))
    return Nearest(row, words, away)


def out_of_easements(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Nothing stands in an easement but what its holder allows."""
    job = yard.job
    if not job.easements and job.site.easements.strip().lower().rstrip(".") in {"", *NONE_ASKED}:
        return
    there = stands(yard)
    if not there:
        return
    if not job.easements:
        yield not_checked(
            rule,
            "site",
            "What stands in an easement was not measured: easements stand in words only.",
            missing="where each easement lies",
            remedy="Draw each on the plan, or type it on the Site sheet: the line it runs along and its width, or its "
            "outline.",
        )
    for easement in job.easements:
        yield from _within(yard, rule, easement, there)


def _within(yard: Yard, rule: Rule, easement: Easement, there: Sequence[Stands]) -> Iterator[Finding]:
    name = easement.title or "The easement"
    ground = easement_ground(yard.job.site.lot, easement)
    if ground is None:
        yield not_checked(
            rule,
            "site",
            f"{name}: what stands in it was not measured, where it lies is not known.",
            missing=f"{name}: the line it runs along and its width, or its outline",
            remedy="Draw it on the plan or type it on the Site sheet, as the deed or the plat says.",
        )
        return
    allowed = [LIMITED[one].lower() for one in easement.allows if one in LIMITED]
    for one in there:
        inside = "" if one.kind in easement.allows else _said_inside(yard, _held(one, easement, ground), rule.value)
        if inside:
            yield _region(
                broken(
                    _said_by(rule, easement.source),
                    one.where,
                    f"{one.words} stands in an easement: {name}.",
                    measured=f"{inside} in {name}",
                    limit=f"{', '.join(allowed) or 'nothing that stands'} in it, and low planting",
                    remedy="Move it out, or have its holder's word in writing and settle this with it. Whoever holds "
                    "an easement may open the ground and take out what stands there.",
                )
            )


def _held(one: Stands, easement: Easement, ground: Shape) -> Held:
    """What of something lies in an easement."""

    def measure() -> Held:
        if one.kind != "tree":
            return Held(area=float(one.shape.intersection(ground).area))
        trees = shapely.get_parts(one.shape)
        inside = [tree for tree in trees if ground.contains_properly(tree)]
        deep = max((ground.boundary.distance(tree) for tree in inside), default=0.0)
        return Held(trees=len(inside), of=len(trees), deep=float(deep))

    return _HELD.get_or_make(f"{one.where}|{one.kind}|{easement.id}", (Same(one), Same(ground)), measure)


def _said_inside(yard: Yard, held: Held, least: float) -> str:
    """How much of a thing lies within, in words; empty for no more than `least` sq ft."""
    system = yard.basis.firm.system
    if held.of:
        deep = format_length(held.deep, system)
        return f"{held.trees} of {held.of} trees, {deep} deep" if held.trees else ""
    return format_area(held.area, system) if held.area > least + NEAR else ""


def _said_by(rule: Rule, source: str) -> Rule:
    """The rule with who said the figure before its own source."""
    return replace(rule, source=f"{source.strip() or 'As typed, without a source'}. {rule.source}")


def _region(finding: Finding) -> Finding:
    """What the town or a holder may grant: settled with a name and a reason, where the rule stops at all."""
    return replace(finding, stop=Stop.REGION) if finding.severity is Severity.STOP else finding


CHECKS: dict[str, Check] = {
    "setback": off_lot_lines,
    "easement": out_of_easements,
}
