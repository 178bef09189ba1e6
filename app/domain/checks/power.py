"""Lights hang on a transformer that carries them, and what runs on line voltage has a supply."""

from collections.abc import Iterator
from dataclasses import replace

import shapely

from app.domain.basis import Rule
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked
from app.domain.checks.walking import half_size, line_of, shape_of
from app.domain.checks.yard import Placed, Yard
from app.domain.findings import Finding
from app.domain.job import OVERHEAD, Fate, Feature, RunKind
from app.domain.takeoff.cover import (
    BUILDING,
    DIRECT,
    DRIVEWAY,
    METHODS,
    RULES,
    WIRED,
    LineCover,
    cover_of,
    method_of,
)
from app.domain.units import format_length, format_number, format_share

LOW, LINE = "low-voltage", "electricity"  # cautions of lights on a transformer, and of line voltage
TRANSFORMER = "transformer"  # role of the part that feeds lights
CONTROLLER = "controller"  # role of the part that hangs indoors at an outlet


def _transformers(yard: Yard) -> list[tuple[Placed, Feature]]:
    features = {f"feature:{one.id}": one for one in yard.job.features}
    return [
        (placed, features[placed.where])
        for placed in yard.placed
        if placed.where in features and any(part.role == TRANSFORMER for part in yard.parts(placed))
    ]


def _lights(yard: Yard) -> list[tuple[Placed, Feature]]:
    """Lights of low voltage, each once: a place with several recipes counts by its first."""
    features = {f"feature:{one.id}": one for one in yard.job.features}
    found: dict[str, tuple[Placed, Feature]] = {}
    for placed in yard.placed:
        feeds = any(part.role == TRANSFORMER for part in yard.parts(placed))
        if placed.where in features and LOW in yard.cautions(placed) and not feeds:
            found.setdefault(placed.where, (placed, features[placed.where]))
    return list(found.values())


def lights_fed(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Lights have a transformer that carries them with room to spare; of lights on the plan their circuit says so."""
    lights, feeds = _lights(yard), _transformers(yard)
    if not feeds:
        lights = [(placed, one) for placed, one in lights if one.x is None or one.y is None]
    if not lights:
        return
    count = sum(one.count for _, one in lights)
    named = ", ".join(dict.fromkeys(placed.place for placed, _ in lights))
    if not feeds:
        yield broken(
            rule,
            "job",
            f"No transformer feeds the lights ({named}).",
            measured=f"{count} lights, no transformer",
            limit="a transformer",
            remedy="Add a transformer with its place, or say here which one that is there carries them.",
        )
        return
    size = sum((yard.parameter(placed, "size") or 0.0) * one.count for placed, one in feeds)
    each = max(yard.parameter(placed, "va_each") or 0.0 for placed, _ in feeds)
    load = count * each
    if size and load > rule.value * size + NEAR:
        yield broken(
            rule,
            feeds[0][0].where,
            f"The lights ({named}) load {feeds[0][0].place} close to its size.",
            measured=f"{count} of {format_number(each)} VA: {format_share(load / size)} of {format_number(size)} VA",
            limit=limit_of(rule, yard.basis.firm.system, "at most"),
            remedy="Choose the next larger transformer, or a second one nearer to the far lights.",
        )


def supply(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """What runs on line voltage stands at the house or at the end of a line that brings it power."""
    features = {f"feature:{one.id}": one for one in yard.job.features}
    for placed in yard.placed:
        thing = features.get(placed.where)
        if thing is None or LINE not in yard.cautions(placed) or _indoors(yard, placed):
            continue
        if thing.x is None or thing.y is None:
            yield not_checked(
                rule,
                placed.where,
                f"{placed.place}: what brings it power cannot be checked, it has no place on the plan.",
                missing="place",
                remedy="Type how far right of and in front of the datum it stands.",
            )
            continue
        away = _from_power(yard, thing)
        if away > in_feet(rule) + NEAR:
            system = yard.basis.firm.system
            told = (
                f"{format_length(away, system)} to the nearest power"
                if away < float("inf")
                else "neither is on the plan"
            )
            yield broken(
                rule,
                placed.where,
                f"{placed.place} runs on line voltage, and no line brings it power.",
                measured=told,
                limit=f"within {format_length(in_feet(rule), system)} of the house or a power line",
                remedy="Draw the conduit that feeds it; the licensed electrician decides circuit and protection.",
            )


def line_cover(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Lines of power lie as deep as their wiring and the deepest place they pass want."""
    lines = {f"run:{run.id}": run for run in yard.job.runs if run.kind is RunKind.CONDUIT and len(run.points) > 1}
    for drive in yard.job.existing if lines else ():
        if drive.kind == DRIVEWAY and drive.fate is not Fate.GOES and drive.outline is None:
            yield not_checked(
                rule,
                f"existing:{drive.id}",
                f"Whether a power line runs below {drive.title or 'the driveway'} cannot be checked: it is not drawn.",
                missing="its outline",
                remedy="Draw the driveway on the plan, or see to it that no line runs below it.",
            )
    for placed in yard.placed:
        if placed.where in lines and yard.parameter(placed, "depth") is not None:
            run = lines[placed.where]
            found = cover_of(yard.job, yard.basis, run, lambda work: yard.parameters.get(work.id))
            yield from _too_shallow(yard, rule, placed, found)


def _too_shallow(yard: Yard, rule: Rule, placed: Placed, found: LineCover) -> Iterator[Finding]:
    system, wiring = yard.basis.firm.system, yard.parameter(placed, "wiring")
    cover, method = yard.parameter(placed, "depth") or 0.0, method_of(wiring)
    needed = found.needed(wiring)
    if cover < needed.cover - in_feet(rule) - NEAR and needed.rule is not None:
        where = f"below {needed.place.title}" if needed.place.title else "in the yard"
        yield broken(
            replace(rule, source=needed.rule.source, edition=needed.rule.edition, reason=needed.rule.reason),
            placed.where,
            f"{placed.place} lies with less cover than it wants {where}, as {METHODS[method]}.",
            measured=format_length(cover, system),
            limit=f"at least {format_length(needed.cover, system)} {where}",
            remedy="Set its cover deeper, lead it around, or wire it otherwise; the licensed electrician decides.",
        )
    below = next((one for one in found.passed if one.kind == BUILDING), None)
    if below is not None and method == WIRED[DIRECT]:
        yield broken(
            rule,
            placed.where,
            f"{placed.place} runs below {below.title} as cable in the ground: there it lies in a raceway.",
            measured=f"below {below.title}",
            limit="in a raceway below a building",
            remedy="Lay it in conduit there, or lead it around; the licensed electrician decides.",
        )


def _indoors(yard: Yard, placed: Placed) -> bool:
    return any(part.role == CONTROLLER for part in yard.parts(placed))


def _from_power(yard: Yard, thing: Feature) -> float:
    """From a thing's rim to the house, a power line, or an outlet of the job [ft]."""
    place, half = shapely.points((thing.x, thing.y)), half_size(yard, thing)
    house = yard.job.site.house
    shapes = [shape_of(house)] if house is not None else []
    shapes += [line_of(run) for run in yard.job.runs if run.kind is RunKind.CONDUIT and len(run.points) > 1]
    shapes += [
        line_of(one)
        for one in yard.job.existing
        if one.utility == "electric" and one.kind != OVERHEAD and len(one.points) > 1
    ]
    shapes += [
        shapely.points((one.x, one.y))
        for one in yard.job.features
        if one.id != thing.id and one.x is not None and one.y is not None and _is_outlet(yard, one)
    ]
    return max(0.0, min((shape.distance(place) for shape in shapes), default=float("inf")) - half)


def _is_outlet(yard: Yard, one: Feature) -> bool:
    return any(part.role == "outlet" for placed in yard.on(f"feature:{one.id}") for part in yard.parts(placed))


CHECKS: dict[str, Check] = {"lights-fed": lights_fed, "supply": supply, "line-cover": line_cover}
VALUES = RULES
