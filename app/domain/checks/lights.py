"""Checks of 12 V lights on the plan: how far apart they stand, what feeds them, what arrives at the last one."""

from collections.abc import Iterator, Mapping, Sequence
from math import dist

from app.domain.basis import Rule
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked
from app.domain.checks.yard import Yard
from app.domain.findings import Finding
from app.domain.takeoff.light_circuits import TAP, circuits, lights_of
from app.domain.takeoff.light_tree import TRANSFORMER, Light
from app.domain.units import format_length, format_number

TOGETHER = 3.0  # times the widest spacing: what stands further apart belongs to another place. Assumption
HELD = ("light-watts", "light-power-factor", "light-slack", "light-splice", "light-run-load")


def _spaced(yard: Yard, mounting: str, most: float) -> Iterator[tuple[Light, float]]:
    """Lights of one mounting with the way to the next one [ft], those that stand together with another."""
    alike = [one for one in lights_of(yard.job, yard.basis) if one.mounting == mounting]
    for one in alike:
        ways = [dist(one.at, other.at) for other in alike if other is not one]
        if ways and min(ways) <= most * TOGETHER:
            yield one, min(ways)


def _too_far(mounting: str, what: str) -> Check:
    def check(yard: Yard, rule: Rule) -> Iterator[Finding]:
        system, most = yard.basis.firm.system, in_feet(rule)
        for light, way in _spaced(yard, mounting, most):
            if way > most + NEAR:
                yield broken(
                    rule,
                    light.where,
                    f"{_title(light)}: the next one is {format_length(way, system)} away; {what}",
                    measured=format_length(way, system),
                    limit=limit_of(rule, system, "at most"),
                    remedy="Move it, or set one between. This is practice, not a rule: the eye at night decides.",
                )

    return check


def too_close(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Path lights stand no closer than is of use."""
    system, least = yard.basis.firm.system, in_feet(rule)
    for light, way in _spaced(yard, "path", least):
        if way < least - NEAR:
            yield broken(
                rule,
                light.where,
                f"{_title(light)}: the next one is only {format_length(way, system)} away; a row of dots, and dearer.",
                measured=format_length(way, system),
                limit=limit_of(rule, system, "at least"),
                remedy="Leave one out, or stagger them on both sides.",
            )


def volts(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Enough voltage arrives at every light; lights have a transformer on the plan."""
    found = circuits(yard.job, yard.basis)
    yield from _unfed(yard, rule, bool(found))
    for circuit in found:
        if circuit.refused:
            yield not_checked(
                rule,
                circuit.source.where,
                f"{_title(circuit.source)}: the voltage at its lights was not worked out. {circuit.refused}",
                missing="a circuit that works",
                remedy="Add a transformer nearer to them, or take thicker cable.",
            )
        elif circuit.lowest is not None and circuit.lowest < rule.value - NEAR:
            worst = min((one for one in circuit.fed if one.volts is not None), key=lambda one: one.volts or TAP)
            yield broken(
                rule,
                worst.light.where,
                f"{_title(worst.light)}: {format_number(round(circuit.lowest, 1))} V would arrive there on the "
                f"{TAP:g} V tap with {circuit.gauge} gauge cable.",
                measured=f"{circuit.lowest:.2f} V",
                limit=f"at least {rule.value:g} V",
                remedy="Take thicker cable, a higher tap, or a second cable to the far ones. Measure it when it burns.",
            )


def _unfed(yard: Yard, rule: Rule, fed: bool) -> Iterator[Finding]:
    lights = [one for one in lights_of(yard.job, yard.basis) if one.mounting != TRANSFORMER]
    if lights and not fed:
        yield not_checked(
            rule,
            lights[0].where,
            f"{_count(lights)} on the plan and no transformer: what arrives at them was not worked out.",
            missing=f"transformer, {len(lights)}",
            remedy="Set the transformer on the plan where its outlet is, or will be.",
        )


def _count(lights: Sequence[Light]) -> str:
    count = sum(one.feature.count for one in lights)
    return "One light stands" if count == 1 else f"{count} lights stand"


def _title(light: Light) -> str:
    return light.feature.title or "A light"


CHECKS: Mapping[str, Check] = {
    "light-path-apart": _too_far("path", "the ground between lies dark."),
    "light-path-close": too_close,
    "light-step-apart": _too_far("step", "some treads lie in the dark."),
    "light-wall-apart": _too_far("wall", "the wall shows dark gaps."),
    "light-volts": volts,
}
VALUES = frozenset(HELD)
