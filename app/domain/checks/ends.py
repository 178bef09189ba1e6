"""Lines that end somewhere: drains at an outlet, gas, water and power at what they serve."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import shapely

from app.domain.basis import Rule
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked
from app.domain.checks.walking import Shape, half_size, line_of, shape_of
from app.domain.checks.yard import Yard
from app.domain.findings import Finding
from app.domain.job import OVERHEAD, Fate, Run, RunKind
from app.domain.plan.levels import finish_level
from app.domain.takeoff.drawn import of_existing
from app.domain.takeoff.ground import ground_of
from app.domain.units import format_length

# what a line of each kind may end at of what is there, by the key of the utility
UTILITY_OF: Mapping[RunKind, frozenset[str]] = {
    RunKind.GAS: frozenset({"gas"}),
    RunKind.CONDUIT: frozenset({"electric", "communication"}),
    RunKind.PIPE: frozenset({"water", "reclaimed"}),
    RunKind.DRAIN: frozenset({"sewer"}),
}
# what each kind serves, by the group of a recipe or a caution of it
SERVES: Mapping[RunKind, frozenset[str]] = {
    RunKind.GAS: frozenset({"gas"}),
    RunKind.CONDUIT: frozenset({"electricity", "low-voltage"}),
    RunKind.PIPE: frozenset({"potable", "water"}),
}
DRAINS = "drainage"
JOINED = 3.0  # ft: an end this near to what takes its water is joined to it. Assumption
AT_HOUSE = 0.5  # ft: a drain that begins this near to the house takes the water of its roof. Assumption
INSIDE = 1 / 64 / 12  # ft: an end at the very edge of paving lies in the open
NOTHING = shapely.union_all([])


def drain_end(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Drains that are joined come to an end that takes their water: a dry well, a basin, a sewer, or daylight."""
    drawn = [run for run in yard.job.runs if run.kind is RunKind.DRAIN and len(run.points) > 1]
    for run in yard.job.runs:
        if run.kind is RunKind.DRAIN and len(run.points) < 2:
            yield _not_drawn(rule, run)
    for joined in _joined(drawn, in_feet(rule)):
        ends = [one for _, one in _free_ends(yard, joined, in_feet(rule))]
        if not any(_taken(yard, one.at, in_feet(rule)) for one in ends):
            yield from _without_outlet(yard, rule, joined, ends)


@dataclass(frozen=True, slots=True)
class End:
    """An end of a drain: its place, what lies over it (empty in the open), the level there [ft], None: not known."""

    at: Shape
    closed: str
    level: float | None


def _free_ends(yard: Yard, joined: Sequence[Run], within: float) -> list[tuple[Run, End]]:
    """The ends of joined drains that lie at none of the others; all of them where none is free."""
    lines = [(run, line_of(run)) for run in joined]
    ends = [(run, _end(yard, at)) for run in joined for at in _ends(run)]
    free = [
        (run, one)
        for run, one in ends
        if not any(other is not run and line.distance(one.at) <= within + NEAR for other, line in lines)
    ]
    return free or ends


def _end(yard: Yard, at: Shape) -> End:
    point = (float(at.x), float(at.y))
    house = yard.job.site.house
    ground = ground_of(yard.job).level(point)
    if house is not None and shape_of(house).distance(at) <= AT_HOUSE:
        return End(at, "the house", ground)
    for key in yard.hard:
        outline = yard.outlines.get(key)
        shape = shape_of(outline) if outline is not None else NOTHING
        if shape.contains(at) and shape.boundary.distance(at) > INSIDE:
            return End(at, yard.neighbor(str(key)), finish_level(yard.chosen[key], point))
    return End(at, "", ground)


def _comes_out(one: End, ends: Sequence[End]) -> bool | None:
    """Whether water comes out at an open end: another end lies higher. None where levels are not known.

    Of ends that are all in the open the lowest lets it out, wherever that is.
    """
    others = [other.level for other in ends if other is not one]
    if one.closed:
        return False
    if one.level is None or all(level is None for level in others):
        return True if not any(other.closed for other in ends) else None
    return any(level is not None and one.level < level - NEAR for level in others)


def _without_outlet(yard: Yard, rule: Rule, joined: Sequence[Run], ends: Sequence[End]) -> Iterator[Finding]:
    """What is to be said where no end is known to let the water out."""
    out = [_comes_out(one, ends) for one in ends]
    if any(out):
        return
    first, *others = joined
    title = first.title or "The drain"
    names = f"{title} and what joins it" if others else title
    if None in out:
        yield not_checked(
            rule,
            f"run:{first.id}",
            f"{names}: whether the end in the open is the low one was not checked, levels are missing.",
            missing="the level at its ends",
            remedy="Type the finish level of what it drains, and spot levels of the ground on Tape and level.",
        )
        return
    where = " and ".join(dict.fromkeys(one.closed for one in ends if one.closed))
    high = [one for one in ends if not one.closed]
    below = f"below {where}" if where else "level with the other"
    system = yard.basis.firm.system
    levels = " and ".join(format_length(one.level or 0.0, system) for one in high)
    yield broken(
        rule,
        f"run:{first.id}",
        f"{names}: the water ends nowhere, {'its low end lies' if high else 'every end lies'} {below}.",
        measured=f"{'in the open only at ' + levels + ', the high end' if high else 'every end below ' + where}",
        limit="a dry well, a basin, a sewer, or open ground further down",
        remedy="Lead its low end to daylight or into a dry well, or join it to the drain that takes it on.",
    )


def _joined(drains: list[Run], within: float) -> list[list[Run]]:
    """Drains in groups: an end of one lies at the line of another."""
    groups: list[list[Run]] = []
    for run in drains:
        meets = [group for group in groups if any(_meet(run, other, within) for other in group)]
        groups = [group for group in groups if group not in meets]
        groups.append([one for group in meets for one in group] + [run])
    return groups


def _meet(one: Run, other: Run, within: float) -> bool:
    pairs = ((one, other), (other, one))
    return any(line_of(b).distance(at) <= within + NEAR for a, b in pairs for at in _ends(a))


def _not_drawn(rule: Rule, run: Run) -> Finding:
    title = run.title or f"The {run.kind.value}"
    return not_checked(
        rule,
        f"run:{run.id}",
        f"{title}: where it ends cannot be checked, its line is not drawn.",
        missing="its line",
        remedy="Draw it on the plan from end to end.",
    )


def drain_to_line(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """No drain lets its water out close to the lot line, where it runs to the neighbor."""
    lot = yard.job.site.lot
    drains = [run for run in yard.job.runs if run.kind is RunKind.DRAIN and len(run.points) > 1]
    if drains and lot is None:
        yield not_checked(
            rule,
            "site",
            "How far drains end from the lot line cannot be checked: the lot is not on the plan.",
            missing="the lot",
            remedy="Type the outline of the lot on the Site sheet.",
        )
    edge = shape_of(lot).boundary if lot is not None else NOTHING
    for joined in _joined(drains, JOINED) if lot is not None else ():
        free = _free_ends(yard, joined, JOINED)
        ends = [one for _, one in free]
        for run in joined:
            out = [
                edge.distance(one.at)
                for of, one in free
                if of is run and _comes_out(one, ends) is not False and not _taken(yard, one.at, JOINED)
            ]
            yield from _out_near_line(yard, rule, run, min(out, default=in_feet(rule)))


def _out_near_line(yard: Yard, rule: Rule, run: Run, near: float) -> Iterator[Finding]:
    system = yard.basis.firm.system
    if near < in_feet(rule) - NEAR:
        yield broken(
            rule,
            f"run:{run.id}",
            f"{run.title or 'The drain'} lets its water out close to the lot line.",
            measured=f"{format_length(near, system)} to the lot line",
            limit=limit_of(rule, system, "at least"),
            remedy="End it further in, spread the water, lead it into a dry well, or have the town's word.",
        )


def basin_joined(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A catch basin stands at a drain or a dry well that takes its water on."""
    system = yard.basis.firm.system
    for one in yard.job.features:
        works = yard.on(f"feature:{one.id}")
        basin = next((it for it in works if any(part.role == "catch basin" for part in yard.parts(it))), None)
        if basin is None:
            continue
        if one.x is None or one.y is None:
            yield not_checked(
                rule,
                basin.where,
                f"{basin.place}: where its water goes cannot be checked, it has no place on the plan.",
                missing="place",
                remedy="Type how far right of and in front of the datum it lies.",
            )
            continue
        place = shapely.points((one.x, one.y))
        away = min((shape.distance(place) for shape in takers(yard, but=basin.where)), default=float("inf"))
        reach = max(in_feet(rule), yard.parameter(basin, "pipe") or 0.0)
        if away > reach + NEAR:
            told = f"{format_length(away, system)} to the nearest drain" if away < float("inf") else "no drain"
            yield broken(
                rule,
                basin.where,
                f"{basin.place}: no drain and no dry well takes its water on.",
                measured=told,
                limit=f"within {format_length(reach, system)}",
                remedy="Draw the drain that leads from it, longer pipe in the recipe, or a dry well beside it.",
            )


def takers(yard: Yard, but: str = "") -> Iterator[Shape]:
    """Drains, dry wells and sewers: what takes water on."""
    for run in yard.job.runs:
        if run.kind is RunKind.DRAIN and len(run.points) > 1:
            yield line_of(run)
    for one in yard.job.features:
        where = f"feature:{one.id}"
        if where != but and one.x is not None and one.y is not None and _is_drainage(yard, where):
            yield shapely.points((one.x, one.y))
    yield from _utilities(yard, RunKind.DRAIN)


def run_end(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Gas, water and power come from somewhere and end at something: a thing, the house, another line, a utility."""
    system = yard.basis.firm.system
    for run in yard.job.runs:
        if run.kind not in SERVES or len(run.points) < 2:
            continue  # told by its length alone: where it runs is said to be open where it is taken off
        short = [away for away in (_short(yard, run, at) for at in _ends(run)) if away > in_feet(rule) + NEAR]
        if short:
            title, both = run.title or f"The {run.kind.value}", len(short) > 1
            told = " and ".join(format_length(away, system) for away in short if away < float("inf"))
            yield broken(
                rule,
                f"run:{run.id}",
                f"{title}: {'neither end reaches' if both else 'one end does not reach'} what it serves or comes from.",
                measured=f"{told} short" if told else "nothing it serves is drawn",
                limit=limit_of(rule, system, "both within"),
                remedy="Draw it up to the thing, or say here that a stub is meant, capped and marked, and for what.",
            )


def _ends(run: Run) -> tuple[Shape, Shape]:
    return shapely.points(run.points[0]), shapely.points(run.points[-1])


def _taken(yard: Yard, at: Shape, within: float) -> bool:
    """Whether a dry well, a basin or a sewer takes the water of a drain at one of its ends."""
    for one in yard.job.features:
        known = one.x is not None and one.y is not None and _is_drainage(yard, f"feature:{one.id}")
        if known and shapely.points((one.x, one.y)).distance(at) <= within + NEAR:
            return True
    return any(shape.distance(at) <= within + NEAR for shape in _utilities(yard, RunKind.DRAIN))


def _joins(one: Run, run: Run) -> bool:
    return one.id != run.id and one.kind is run.kind and len(one.points) > 1


def _is_drainage(yard: Yard, where: str) -> bool:
    return any(one.assembly.group == DRAINS for one in yard.on(where))


def _short(yard: Yard, run: Run, at: Shape) -> float:
    """How far an end lies from what such a line serves or comes from [ft]."""
    house = yard.job.site.house
    ways = [float(shape_of(house).distance(at))] if house is not None else []
    ways += [float(line_of(one).distance(at)) for one in yard.job.runs if _joins(one, run)]
    ways += [float(shape.distance(at)) for shape in _utilities(yard, run.kind)]
    ways += [max(0.0, float(shape.distance(at)) - half) for shape, half in _served(yard, run.kind)]
    return min(ways, default=float("inf"))


def _utilities(yard: Yard, kind: RunKind) -> Iterator[Shape]:
    for one in yard.job.existing:
        if one.utility in UTILITY_OF[kind] and one.fate is not Fate.GOES and one.kind != OVERHEAD:
            shape = of_existing(one, NOTHING)
            if shape is not None:
                yield shape


def _served(yard: Yard, kind: RunKind) -> Iterator[tuple[Shape, float]]:
    """Things, zones and built lines that a line of a kind serves, and how far from their middle they reach [ft]."""
    wanted = SERVES[kind]
    for one in yard.job.features:
        if one.x is not None and one.y is not None and _wants(yard, f"feature:{one.id}", wanted):
            yield shapely.points((one.x, one.y)), half_size(yard, one)
    for zone_id, outline in yard.outlines.items():
        if _wants(yard, f"zone:{zone_id}", wanted):
            yield shape_of(outline), 0.0
    for other in yard.job.runs:
        if other.kind not in SERVES and len(other.points) > 1 and _wants(yard, f"run:{other.id}", wanted):
            yield line_of(other), 0.0


def _wants(yard: Yard, where: str, cautions: frozenset[str]) -> bool:
    return any(cautions & set(yard.cautions(one)) for one in yard.on(where))


CHECKS: dict[str, Check] = {
    "drain-end": drain_end,
    "drain-to-line": drain_to_line,
    "basin-joined": basin_joined,
    "run-end": run_end,
}
