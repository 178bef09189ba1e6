"""Doors of the house: the step down from a threshold, how far the paving stays below it, the landing a flight wants."""

from collections.abc import Iterator

from app.domain.basis import Rule
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked, quiet
from app.domain.checks.steps import flight_words, step_limits
from app.domain.checks.yard import Yard
from app.domain.findings import Finding
from app.domain.takeoff.meeting import Meeting
from app.domain.takeoff.thresholds import Doorway
from app.domain.trades.steps import flight_for
from app.domain.units import format_length

STEPS = "steps"  # caution of works that are steps
DRAIN = "trench drain"  # role of the part that takes water at a door
FEW = 2  # risers up to which no landing is asked for


def door_step(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Nobody steps further down from a door than a riser."""
    system = yard.basis.firm.system
    for met, door in _doors(yard):
        if door.down is None:
            yield _unknown(yard, rule, met, door)
        elif door.down > in_feet(rule) + NEAR and not _has(yard, met, STEPS):
            flight = flight_for(door.down, step_limits(yard.basis.rules))
            words = flight_words(flight, system) if flight else "a step"
            yield broken(
                rule,
                _where(met),
                f"{yard.neighbor(str(met.zone_id))} lies below the threshold of {door.title}, and no steps lead down.",
                measured=f"{door.title} {format_length(door.down, system, sixteenths=True)}",
                limit=limit_of(rule, system, "no more than"),
                remedy=f"Put {words} on the edge to the house (one tap on the plan), or raise the surface.",
            )


def _unknown(yard: Yard, rule: Rule, met: Meeting, door: Doorway) -> Finding:
    lacks = "threshold" if door.threshold is None else "finish level"
    remedy = (
        "Type the level of its threshold on the Site sheet, or read the rod on it."
        if door.threshold is None
        else "Type the finish level of the zone."
    )
    return not_checked(
        rule,
        "site" if door.threshold is None else f"zone:{met.zone_id}",
        f"How far one steps down from {door.title} to {yard.neighbor(str(met.zone_id))} is not known.",
        missing=f"{lacks}, {door.title}",
        remedy=remedy,
    )


def door_sill(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A surface stays below a door's threshold, or a drain along it takes the water."""
    system = yard.basis.firm.system
    for met, door in _doors(yard):
        if door.down is None or door.down > in_feet(rule) - NEAR or _has_part(yard, met, DRAIN):
            continue
        lies = "above" if door.down < -NEAR else "below"
        yield broken(
            rule,
            _where(met),
            f"{yard.neighbor(str(met.zone_id))} lies too high at {door.title}: rain and snow reach the sill.",
            measured=f"{door.title} {format_length(abs(door.down), system, sixteenths=True)} {lies} the threshold",
            limit=limit_of(rule, system, "at least"),
            remedy="Lower the surface, or put a trench drain along the edge to the house.",
        )


def door_landing(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """More than two risers at a door want a landing up there: the sheet cannot see it, so it is said."""
    system = yard.basis.firm.system
    for met, door in _doors(yard):
        flight = flight_for(door.down, step_limits(yard.basis.rules)) if door.down and door.down > 0 else None
        if flight and flight.risers > FEW and _has(yard, met, STEPS):
            deep = limit_of(rule, system, "at least")
            yield quiet(
                rule,
                _where(met),
                f"{door.title} has {flight.risers} risers outside: it wants a landing at its threshold.",
                measured=f"{door.title} {flight.risers} risers",
                remedy=f"A landing as wide as the door and {deep} deep; the local code decides.",
            )


def _doors(yard: Yard) -> Iterator[tuple[Meeting, Doorway]]:
    """The doors that a hard surface comes up to."""
    return ((met, door) for met in yard.meetings if met.doors and met.zone_id in yard.hard for door in met.doors)


def _where(met: Meeting) -> str:
    return f"edge:{met.edge.id}" if met.edge else f"zone:{met.zone_id}"


def _has(yard: Yard, met: Meeting, caution: str) -> bool:
    return any(caution in yard.cautions(one) for one in (yard.on(f"edge:{met.edge.id}") if met.edge else ()))


def _has_part(yard: Yard, met: Meeting, role: str) -> bool:
    works = yard.on(f"edge:{met.edge.id}") if met.edge else ()
    return any(part.role == role for one in works for part in yard.parts(one))


CHECKS: dict[str, Check] = {"door-step": door_step, "door-sill": door_sill, "door-landing": door_landing}
