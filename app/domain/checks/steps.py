"""Where levels differ and nothing leads from one to the other: the steps that would."""

from collections.abc import Iterator, Mapping
from math import ceil

from app.domain.basis import Rule
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of
from app.domain.checks.yard import Yard
from app.domain.findings import Finding
from app.domain.job import Edge, ZoneKind, zones_by_key
from app.domain.takeoff.meeting import Meeting
from app.domain.trades.steps import STANDARD, Flight, StepLimits, flight_for
from app.domain.units import System, format_length

NOT_CROSSED = frozenset({ZoneKind.PLANTING, ZoneKind.LAWN, ZoneKind.WATER})
ANSWERS = frozenset({"steps", "wall"})  # cautions of works that were made for two levels
# what steps keep to, by the rule that holds it
LIMITS: Mapping[str, str] = {
    "riser_most": "riser-height",
    "tread_least": "tread-depth",
    "easy_least": "riser-easy-least",
    "easy_most": "riser-easy-most",
    "stride": "step-stride",
    "least": "step-least",
}
VALUES = frozenset(LIMITS.values()) - {"riser-height", "tread-depth"}


def step_limits(rules: Mapping[str, Rule]) -> StepLimits:
    """What steps keep to [ft] by the rules of a basis; a rule that is missing leaves the usual value."""
    known = {name: in_feet(rules[key]) for name, key in LIMITS.items() if key in rules}
    return StepLimits(**{**{name: getattr(STANDARD, name) for name in LIMITS}, **known})


def flight_words(flight: Flight, system: System) -> str:
    """A flight in words: `3 risers of 6", treads of 14"`."""
    number = "one riser" if flight.risers == 1 else f"{flight.risers} risers"
    riser = format_length(flight.riser, system, sixteenths=True)
    tread = format_length(flight.tread, system, sixteenths=True)
    return f"{number} of {riser}" if flight.risers == 1 else f"{number} of {riser}, treads of {tread}"


def step_wanted(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Two zones that people walk lie at different levels where they meet, and nothing leads from one to the other."""
    deepest: dict[frozenset[str], Meeting] = {}
    crossed = {key for key, zone in zones_by_key(yard.job.zones).items() if zone.kind not in NOT_CROSSED}
    answered = {_pair(met) for met in yard.meetings if met.edge and _answered(yard, met.edge)}
    for met in yard.meetings:
        if met.drop is None:
            continue
        pair = _pair(met)
        if not pair <= crossed or len(pair) < 2 or pair in answered:
            continue
        a_lip = in_feet(rule) + max((riser_of(yard, one) for one in pair), default=0.0)
        if met.drop.deepest > a_lip + NEAR and (pair not in deepest or met.drop.deepest > _depth(deepest[pair]) + NEAR):
            deepest[pair] = met
    for met in deepest.values():
        yield _wanted(yard, rule, met)


def _pair(met: Meeting) -> frozenset[str]:
    return frozenset((met.stretch.zone, met.neighbor))


def riser_of(yard: Yard, zone_id: str) -> float:
    """The riser [ft] of a zone that is itself a flight of steps: one leads on from either end of it; else 0."""
    return max((yard.parameter(one, "riser") or 0.0 for one in yard.on(f"zone:{zone_id}")), default=0.0)


def _depth(met: Meeting) -> float:
    return met.drop.deepest if met.drop else 0.0


def _answered(yard: Yard, edge: Edge) -> bool:
    """Whether a work on the edge was made for two levels."""
    return any(ANSWERS & set(yard.cautions(one)) for one in yard.on(f"edge:{edge.id}"))


def _wanted(yard: Yard, rule: Rule, met: Meeting) -> Finding:
    system = yard.basis.firm.system
    own, other = yard.neighbor(str(met.zone_id)), yard.neighbor(met.neighbor)
    upper, lower = (own, other) if met.drop and met.drop.mean >= 0 else (other, own)
    flight = flight_for(_depth(met), step_limits(yard.basis.rules))
    remedy = (
        f"Put {flight_words(flight, system)} on that edge (one tap on the plan), or bring the levels together."
        if flight
        else "Let one of the two slope to the other, or bring the levels together."
    )
    return broken(
        rule,
        f"zone:{met.zone_id}",
        f"{upper} lies above {lower} where they meet, and nothing leads down.",
        measured=format_length(_depth(met), system),
        limit=limit_of(rule, system, "no more than"),
        remedy=remedy,
    )


def steps_alike(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Steps on an edge whose drop changes so much across their width that their risers cannot be alike."""
    system = yard.basis.firm.system
    edges = {f"edge:{edge.id}": edge for edge in yard.job.edges}
    for placed in yard.placed:
        edge = edges.get(placed.where)
        if edge is None or yard.parameter(placed, "riser") is None:
            continue
        for met in yard.around.decided_by(edge):
            length = met.stretch.length
            share = min(yard.parameter(placed, "width") or length, length) / length
            change = (met.drop.most - met.drop.least) * share if met.drop else 0.0
            if change > in_feet(rule) + NEAR:
                yield broken(
                    rule,
                    placed.where,
                    f"{placed.place}: the drop changes along the steps, so their risers are not alike.",
                    measured=f"{format_length(change, system, sixteenths=True)} across the steps",
                    limit=limit_of(rule, system, "no more than"),
                    remedy="Let both surfaces fall the same way there, level a landing, or build the steps narrower.",
                )


def steps_reach(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Risers of the height that is set make more than the drop: the last one would be lower than the others."""
    system = yard.basis.firm.system
    edges = {f"edge:{edge.id}": edge for edge in yard.job.edges}
    for placed in yard.placed:
        edge, riser = edges.get(placed.where), yard.parameter(placed, "riser")
        drop = yard.around.edge_drop(edge) if edge else None
        if not riser or not drop:
            continue
        risers = ceil(drop / riser - NEAR)
        over = risers * riser - drop
        if over > in_feet(rule) + NEAR:
            each = format_length(drop / risers, system, sixteenths=True)
            yield broken(
                rule,
                placed.where,
                f"{placed.place}: the risers do not share the drop out evenly.",
                measured=f"one riser lower by {format_length(over, system, sixteenths=True)}",
                limit=limit_of(rule, system, "no more than"),
                remedy=f"Set the riser to {each} ({risers} of them make {format_length(drop, system)}).",
            )


def _alike(yard: Yard, rule: Rule) -> Iterator[Finding]:
    yield from steps_alike(yard, rule)
    yield from steps_reach(yard, rule)


CHECKS: dict[str, Check] = {"step-wanted": step_wanted, "steps-alike": _alike}
