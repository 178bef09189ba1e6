"""Gas and water come to what burns and washes, and a gas line goes by the longest length of its whole system.

The licensed gas fitter and plumber design and test; nothing here says that a line is enough.
"""

from collections.abc import Iterator

import shapely

from app.domain.basis import Rule
from app.domain.checks.bottles import BOTTLE
from app.domain.checks.cooking import SINK
from app.domain.checks.ends import UTILITY_OF
from app.domain.checks.rules import NEAR, Check, broken, in_feet, not_checked
from app.domain.checks.walking import Shape, half_size, line_of, shape_of
from app.domain.checks.yard import Placed, Yard
from app.domain.findings import Finding
from app.domain.job import OVERHEAD, Existing, Feature, RunKind
from app.domain.plan.open_lines import length_of
from app.domain.takeoff.gas_system import longest_lengths
from app.domain.units import format_length

GAS_RUN = "gas-run"
_NO_PLACE = "Type how far right of and in front of the datum it stands."


def gas_supply(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """What burns gas stands at the end of a gas line, or near the bottle that feeds it."""
    sources = [*_lines(yard, RunKind.GAS), *_bottles(yard)]
    burners = [one for one in _features(yard) if "gas" in yard.cautions(one[0]) and one[0].assembly.key != BOTTLE]
    remedy = "Draw the gas line from the meter, or place the cabinet of its bottle; the licensed gas fitter designs it."
    yield from _without(yard, rule, burners, sources, ("burns gas, and neither line nor bottle", "gas"), remedy)


def water_supply(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A sink stands by the house or at a water line."""
    house = yard.job.site.house
    sources = [*_lines(yard, RunKind.PIPE), *([shape_of(house)] if house is not None else [])]
    sinks = [one for one in _features(yard) if one[0].assembly.key == SINK]
    remedy = "Draw the water line; the licensed plumber decides supply, shutoff for winter and where the waste goes."
    yield from _without(yard, rule, sinks, sources, ("wants water, and no line", "water"), remedy)


def gas_longest(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Every gas line is told by the longest length of the system it belongs to, not by its own."""
    system = yard.basis.firm.system
    placed = [one for one in yard.placed if one.assembly.key == GAS_RUN and one.where.startswith("run:")]
    gas = [run for run in yard.job.runs if run.kind is RunKind.GAS]
    longest = longest_lengths(gas, shapely.union_all(_gas_comes_from(yard)))
    own = {run.id: length_of(run.points, run.rises) for run in gas if len(run.points) > 1}
    for one in placed:
        drawn = longest.get(one.work.place_id) if one.work.place_id else None
        told = yard.parameter(one, "longest")
        if told is None and one.work.place_id:
            told = own.get(one.work.place_id)  # an edition of the recipe that knows its own length alone
        if told is not None and drawn is not None and drawn > told + in_feet(rule) + NEAR:
            yield broken(
                rule,
                one.where,
                f"{one.place}: its pipe is told by a shorter length than that of the system it belongs to.",
                measured=f"{format_length(told, system)} of {format_length(drawn, system)} to the farthest end",
                limit=f"within {format_length(in_feet(rule), system)} of the length to the farthest appliance",
                remedy=f"Set its longest length to {format_length(drawn, system)}: every stretch goes by that one.",
            )


def _gas_comes_from(yard: Yard) -> list[Shape]:
    house = yard.job.site.house
    there = [line_of(one) for one in yard.job.existing if one.utility in UTILITY_OF[RunKind.GAS] and _drawn(one)]
    return [*there, *_bottles(yard), *([shape_of(house)] if house is not None else [])]


def _features(yard: Yard) -> Iterator[tuple[Placed, Feature]]:
    features = {f"feature:{one.id}": one for one in yard.job.features}
    return ((one, features[one.where]) for one in yard.placed if one.where in features)


def _bottles(yard: Yard) -> list[Shape]:
    found = (thing for placed, thing in _features(yard) if placed.assembly.key == BOTTLE)
    return [shapely.points((one.x, one.y)) for one in found if one.x is not None and one.y is not None]


def _lines(yard: Yard, kind: RunKind) -> list[Shape]:
    """Lines of a kind: those that are built, and those that are there."""
    built = [line_of(run) for run in yard.job.runs if run.kind is kind and len(run.points) > 1]
    return built + [line_of(one) for one in yard.job.existing if one.utility in UTILITY_OF[kind] and _drawn(one)]


def _drawn(one: Existing) -> bool:
    return one.kind != OVERHEAD and len(one.points) > 1


def _without(
    yard: Yard,
    rule: Rule,
    things: list[tuple[Placed, Feature]],
    sources: list[Shape],
    words: tuple[str, str],
    remedy: str,
) -> Iterator[Finding]:
    """What is to be said of things that no source lies near."""
    system, (what, matter) = yard.basis.firm.system, words
    for placed, thing in things:
        if thing.x is None or thing.y is None:
            said = f"{placed.place}: what brings it {matter} cannot be checked, it has no place on the plan."
            yield not_checked(rule, placed.where, said, missing="place", remedy=_NO_PLACE)
            continue
        place, half = shapely.points((thing.x, thing.y)), half_size(yard, thing)
        away = max(0.0, min((float(one.distance(place)) for one in sources), default=float("inf")) - half)
        if away > in_feet(rule) + NEAR:
            near = f"{format_length(away, system)} to the nearest" if away < float("inf") else "none is on the plan"
            yield broken(
                rule,
                placed.where,
                f"{placed.place} {what} brings it.",
                measured=near,
                limit=f"within {format_length(in_feet(rule), system)}",
                remedy=remedy,
            )


CHECKS: dict[str, Check] = {"gas-supply": gas_supply, "water-supply": water_supply, "gas-longest": gas_longest}
