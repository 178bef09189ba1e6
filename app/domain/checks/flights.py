"""Flights of steps: the one that trips, the one that tires, how they walk, how wide they are."""

from collections.abc import Iterator

from app.domain.basis import Rule
from app.domain.checks.levels import risers_of
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, quiet
from app.domain.checks.yard import Placed, Yard
from app.domain.findings import Finding
from app.domain.plan.edges import HOUSE
from app.domain.units import format_length

STRIDE_LEAST = "stride-least"
VALUES = frozenset({STRIDE_LEAST})
LIGHT = "step light"  # role of the part that makes a step seen at night


def _flights(yard: Yard) -> Iterator[tuple[Placed, str]]:
    """Works that are steps, and what lies across where they are built on an edge."""
    edges = {f"edge:{one.id}": one for one in yard.job.edges}
    for placed in yard.placed:
        if "riser" in placed.assembly.parameters:
            edge = edges.get(placed.where)
            yield placed, edge.neighbor if edge else ""


def single_step(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """One riser by itself is not seen: it has a light, or goes."""
    for placed, across in _flights(yard):
        if across == HOUSE or risers_of(yard, placed) != rule.value or _lit(yard, placed, across):
            continue
        yield broken(
            rule,
            placed.where,
            f"{placed.place}: one riser by itself is not seen, and people fall over it.",
            measured="1 riser, no step light",
            limit="none, or two, or one that is lit and of another color",
            remedy="Bring the levels together, make two lower risers of it, or light it in another color.",
        )


def _lit(yard: Yard, steps: Placed, across: str) -> bool:
    """Whether a step light stands in a zone that the steps belong to."""
    zones = {str(steps.zone.id) if steps.zone else "", across}
    return any(
        one.zone is not None and str(one.zone.id) in zones and any(part.role == LIGHT for part in yard.parts(one))
        for one in yard.placed
    )


def flight_rise(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """No flight rises further than so much before a landing."""
    system = yard.basis.firm.system
    for placed, _ in _flights(yard):
        risers, riser = risers_of(yard, placed), yard.parameter(placed, "riser")
        rise = risers * riser if risers and riser else 0.0
        if rise > in_feet(rule) + NEAR:
            yield broken(
                rule,
                placed.where,
                f"{placed.place} climbs further than one does without a landing.",
                measured=f"{format_length(rise, system)} in {risers} risers",
                limit=limit_of(rule, system, "at most"),
                remedy="Split it with a landing as deep as it is wide; 36 in at least.",
            )


def stride(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Two risers and a tread together make a stride."""
    system = yard.basis.firm.system
    lowest = yard.basis.rules.get(STRIDE_LEAST)
    least = in_feet(lowest) if lowest else 0.0
    for placed, _ in _flights(yard):
        riser, tread = yard.parameter(placed, "riser"), yard.parameter(placed, "tread")
        if riser is None or tread is None:
            continue
        found = 2 * riser + tread
        if found > in_feet(rule) + NEAR or found < least - NEAR:
            yield quiet(
                rule,
                placed.where,
                f"{placed.place}: two risers and a tread make {format_length(found, system)}; people walk "
                f"{format_length(least, system)} to {format_length(in_feet(rule), system)}.",
                measured=f"{format_length(found, system)}: 2 × {format_length(riser, system)} + "
                f"{format_length(tread, system)}",
                remedy="Deepen or shorten the treads on the plan.",
            )


def flight_width(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Steps are wide enough for one who carries something."""
    system = yard.basis.firm.system
    for placed, _ in _flights(yard):
        width = yard.parameter(placed, "width")
        if width is not None and width < in_feet(rule) - NEAR:
            yield broken(
                rule,
                placed.where,
                f"{placed.place}: the steps are narrow.",
                measured=format_length(width, system),
                limit=limit_of(rule, system, "at least"),
                remedy="Build them wider; garden steps are exempt in places.",
            )


CHECKS: dict[str, Check] = {
    "single-step": single_step,
    "flight-rise": flight_rise,
    "stride-most": stride,
    "flight-width": flight_width,
}
