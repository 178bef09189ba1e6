"""Checks of heights: walls that hold back earth, steps, rails and drops."""

from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from math import ceil

from app.domain.basis import Rule
from app.domain.checks.below import deep_edges
from app.domain.checks.regions import STRICTEST, WALL, region_of, rule_in, said_unreviewed
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked, quiet
from app.domain.checks.yard import Placed, Yard
from app.domain.findings import Finding
from app.domain.job import Run, RunKind, ZoneKind, zones_by_key
from app.domain.plan.edges import GROUND
from app.domain.takeoff.measures import zone_title
from app.domain.units import format_length

HOLDS = "total"  # parameter of walls that hold earth: their height with the buried part
RAIL = "handrail"  # role of the part that is a rail
GUARD_HEIGHT = 3.0  # ft: a fence this high is a guard (International Residential Code R312.1.2: 36 in)
NOT_WALKED = frozenset({ZoneKind.PLANTING})
WITHIN = "guard-within"  # the rule that says how far from an edge the ground counts
VALUES = frozenset({WITHIN, STRICTEST[WALL]})


def wall_height(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A wall counts from the bottom of its footing: its buried part is part of it."""
    runs = {run.id: run for run in yard.job.runs}
    for placed in yard.placed:
        run = runs.get(placed.work.place_id) if placed.work.place_id else None
        if run is not None and "wall" in placed.assembly.cautions and not _engineered(yard, placed.where):
            yield from _one_wall(yard, rule, placed, run)


def _one_wall(yard: Yard, rule: Rule, placed: Placed, run: Run) -> Iterator[Finding]:
    if run.height is None:
        yield not_checked(
            rule,
            placed.where,
            f"{placed.place}: its height is not typed.",
            missing="height",
            remedy="Type its height above the ground; the buried part is added.",
        )
        return
    system = yard.basis.firm.system
    total = run.height + (yard.parameter(placed, "buried") or 0.0)
    pad = yard.parameter(placed, "pad") or 0.0
    remedy = (
        "Have an engineer design it and the town permit it: add that work to the wall. Or lower it, or step it back."
    )
    yield from _strict_wall(yard, rule, placed, total)
    if total > in_feet(rule) + NEAR:
        yield broken(
            rule,
            placed.where,
            f"{placed.place} is higher than may be built without an engineer and a permit.",
            measured=f"{format_length(total, system)} with its buried part",
            limit=limit_of(rule, system, "at most"),
            remedy=remedy,
        )
    elif total + pad > in_feet(rule) + NEAR:
        yield quiet(
            rule,
            placed.where,
            f"{placed.place}: where the town counts the stone pad as the footing, it is above the limit.",
            measured=f"{format_length(total + pad, system)} with pad",
            remedy="Ask the town from where it counts.",
        )


def _strict_wall(yard: Yard, rule: Rule, placed: Placed, total: float) -> Iterator[Finding]:
    """A wall below the model code's limit that some towns want a permit for, where nobody reviewed the town."""
    named = region_of(yard.job, yard.basis.firm)
    held = rule_in(yard.basis, WALL, named)
    if held is None or held.reviewed or HOLDS not in placed.assembly.parameters:
        return
    strict, system = said_unreviewed(held, named), yard.basis.firm.system
    if in_feet(strict) + NEAR < total <= in_feet(rule) + NEAR:
        yield broken(
            strict,
            placed.where,
            f"{placed.place}: some towns want a permit for a wall of this height, and nobody reviewed this one.",
            measured=f"{format_length(total, system)} with its buried part",
            limit=limit_of(strict, system, "at most"),
            remedy="Ask the town from which height it wants one; give the rule that value, or settle this.",
        )


def _engineered(yard: Yard, where: str) -> bool:
    return any("engineer" in trade for one in yard.on(where) for trade in yard.trades(one))


def riser_height(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """No riser is higher than the limit."""
    for placed in yard.placed:
        riser = yard.parameter(placed, "riser")
        if riser is not None and riser > in_feet(rule) + NEAR:
            yield _step(yard, rule, placed, ("Riser", riser, "at most"), "More and lower risers.")


def tread_depth(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """No tread is shorter than the limit."""
    for placed in yard.placed:
        tread = yard.parameter(placed, "tread")
        if tread is not None and tread < in_feet(rule) - NEAR:
            yield _step(yard, rule, placed, ("Tread", tread, "at least"), "Deeper treads; the flight gets longer.")


def _step(yard: Yard, rule: Rule, placed: Placed, found: tuple[str, float, str], remedy: str) -> Finding:
    name, size, words = found
    system = yard.basis.firm.system
    return broken(
        rule,
        placed.where,
        f"{placed.place}, {placed.title}: a step people will trip on.",
        measured=f"{name} {format_length(size, system)}",
        limit=limit_of(rule, system, words),
        remedy=remedy,
    )


def risers_of(yard: Yard, placed: Placed) -> int | None:
    """Risers in a flight: the whole rise, or the drop of its edge, over the riser; None where neither is known."""
    riser = yard.parameter(placed, "riser")
    edge = next((one for one in yard.job.edges if one.id == placed.work.place_id), None)
    rise = yard.parameter(placed, "rise") if edge is None else yard.around.edge_drop(edge) or None
    return ceil(rise / riser - NEAR) if rise is not None and riser else None


def handrail(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Flights of so many risers have a rail."""
    for placed in yard.placed:
        if "riser" not in placed.assembly.parameters:
            continue
        risers = risers_of(yard, placed)
        if risers is None:
            yield not_checked(
                rule,
                placed.where,
                f"{placed.place}: how many risers it has is not known.",
                missing="rise",
                remedy="Type the whole rise of the steps, or the drop of the edge.",
            )
        elif risers >= rule.value - NEAR and not _has_rail(yard, placed):
            yield broken(
                rule,
                placed.where,
                f"{placed.place} has a flight of steps without a handrail.",
                measured=f"{risers} risers",
                limit=limit_of(rule, yard.basis.firm.system, "a rail from"),
                remedy="Add a run for the handrail in this zone, or split the flight with a landing.",
            )


def _has_rail(yard: Yard, steps: Placed) -> bool:
    """Whether a rail stands in the zone of the steps, or nowhere in particular."""
    rails = [one for one in yard.placed if any(part.role == RAIL for part in yard.parts(one))]
    return any(one.zone is None or steps.zone is None or one.zone.id == steps.zone.id for one in rails)


@dataclass(frozen=True, slots=True)
class Drop:
    """A drop between two levels: where, in words, how deep [ft]; `upper` is the zone it is walked from."""

    where: str
    words: str
    depth: float
    upper: str


def drops(yard: Yard) -> list[Drop]:
    """Drops typed for shared edges, and those between zones that meet and have different levels."""
    found, zones = {}, {str(key) for key in yard.zones}
    for edge in yard.job.edges:
        zone = yard.zones.get(edge.zone_id)
        if zone is not None and edge.drop:
            upper = str(zone.id) if edge.drop > 0 or edge.neighbor not in zones else edge.neighbor
            words = f"{zone_title(zone)}, edge to {yard.neighbor(edge.neighbor)}"
            found[frozenset((str(zone.id), edge.neighbor))] = Drop(f"edge:{edge.id}", words, abs(edge.drop), upper)
    typed = frozenset(found)
    for met in yard.meetings:
        own = met.stretch.zone
        if met.drop is None or (met.neighbor not in zones and met.neighbor != GROUND):
            continue
        pair = frozenset((own, met.neighbor))
        if pair in typed:
            continue
        above = met.drop.most >= -met.drop.least
        upper, lower = (own, met.neighbor) if above else (met.neighbor, own)
        if pair not in found or met.drop.deepest > found[pair].depth:
            words = f"{yard.neighbor(upper)}, edge to {yard.neighbor(lower)}"
            found[pair] = Drop(f"zone:{upper}", words, met.drop.deepest, upper)
    return list(found.values())


def guard(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A deep drop beside where people walk is guarded."""
    system = yard.basis.firm.system
    walked = {key for key, zone in zones_by_key(yard.job.zones).items() if zone.kind not in NOT_WALKED}
    found = drops(yard)
    for drop in found:
        if drop.upper in walked and drop.depth > in_feet(rule) + NEAR and not _guarded(yard, drop):
            yield broken(
                rule,
                drop.where,
                f"{drop.words}: a drop beside where people walk, without a guard.",
                measured=format_length(drop.depth, system),
                limit=limit_of(rule, system, "a guard above"),
                remedy="Add a fence or guard 36 in high or more in the upper zone, or lower the drop.",
            )
    yield from _below_an_edge(yard, rule, walked - {one.upper for one in found if one.depth > in_feet(rule) + NEAR})
    if len(yard.zones) > 1 and not any(one.level is not None for one in yard.chosen.values()):
        yield not_checked(
            rule,
            "job",
            "Whether a drop wants a guard cannot be checked: no zone has its level yet.",
            missing="levels",
            remedy="Type the finish level of each zone on the plan, from one datum.",
        )


def _below_an_edge(yard: Yard, rule: Rule, walked: AbstractSet[str]) -> Iterator[Finding]:
    """Ground that drops within reach of an edge, though not at the edge itself."""
    system, near = yard.basis.firm.system, yard.basis.rules.get(WITHIN)
    if near is None:
        return
    for zone_id, depth in deep_edges(yard, walked, in_feet(near), in_feet(rule) + NEAR):
        title, where = zone_title(yard.zones[zone_id]), f"zone:{zone_id}"
        if not _guarded(yard, Drop(where, title, depth, str(zone_id))):
            yield broken(
                rule,
                where,
                f"{title}: it goes down deep within reach of its edge, without a guard.",
                measured=f"{format_length(depth, system)} within reach of its edge",
                limit=f"{limit_of(rule, system, 'a guard above')} within {format_length(in_feet(near), system)}",
                remedy="Add a fence or guard 36 in high or more along that edge, or bring the ground up to it.",
            )


def _guarded(yard: Yard, drop: Drop) -> bool:
    fences = [run for run in yard.job.runs if run.kind is RunKind.FENCE and (run.height or 0.0) >= GUARD_HEIGHT - NEAR]
    return any(run.zone_id is not None and str(run.zone_id) == drop.upper for run in fences)


CHECKS: dict[str, Check] = {
    "wall-height": wall_height,
    "riser-height": riser_height,
    "tread-depth": tread_depth,
    "handrail": handrail,
    "guard": guard,
}
