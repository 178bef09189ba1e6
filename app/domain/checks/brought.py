"""Gas and water come to what burns and washes; a gas line goes by its system's longest length and all heat beyond it.

The licensed gas fitter and plumber design and test; nothing here says that a line is enough.
"""

from collections.abc import Iterator, Mapping

import shapely

from app.domain.basis import Rule
from app.domain.checks.cooking import SINK
from app.domain.checks.ends import UTILITY_OF
from app.domain.checks.rules import NEAR, Check, broken, in_feet, not_checked
from app.domain.checks.walking import Shape, half_size, line_of, shape_of
from app.domain.checks.yard import Placed, Yard
from app.domain.findings import Finding
from app.domain.job import OVERHEAD, Existing, Feature, RunKind
from app.domain.plan.open_lines import length_of
from app.domain.takeoff.gas_on_plan import RUN as GAS_RUN
from app.domain.takeoff.gas_on_plan import bottles_of, carried_of, is_burner, named
from app.domain.takeoff.gas_system import Carried
from app.domain.units import format_length, format_number

_NO_PLACE = "Type how far right of and in front of the datum it stands."


def gas_supply(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """What burns gas stands at the end of a gas line, or near the bottle that feeds it."""
    sources = [*_lines(yard, RunKind.GAS), *(shapely.points(one) for one in bottles_of(yard.job))]
    remedy = "Draw the gas line from the meter, or place the cabinet of its bottle; the licensed gas fitter designs it."
    yield from _without(
        yard, rule, list(_burners(yard)), sources, ("burns gas, and neither line nor bottle", "gas"), remedy
    )


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
    own = {run.id: length_of(run.points, run.rises) for run in yard.job.runs if len(run.points) > 1}
    for one, carried in _gas_lines(yard):
        told = yard.parameter(one, "longest")
        if told is None and one.work.place_id:
            told = own.get(one.work.place_id)  # an edition of the recipe that knows its own length alone
        if told is not None and carried.longest > told + in_feet(rule) + NEAR:
            drawn = format_length(carried.longest, system)
            yield broken(
                rule,
                one.where,
                f"{one.place}: its pipe is told by a shorter length than that of the system it belongs to.",
                measured=f"{format_length(told, system)} of {drawn} to the farthest end",
                limit=f"within {format_length(in_feet(rule), system)} of the length to the farthest appliance",
                remedy=f"Set its longest length to {drawn}: every stretch goes by that one.",
            )


def gas_demand(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """The heat that a gas line is told by is that of all that hangs on it and on what lies beyond."""
    told_without: dict[str, str] = {}
    for one, carried in _gas_lines(yard):
        told, typed = yard.parameter(one, "heat"), "heat" in yard.typed.get(one.work.id, ())
        if told is not None and carried.heat > told * (1 + rule.value) + NEAR:
            yield broken(
                rule,
                one.where,
                f"{one.place}: more heat hangs on it than its pipe is told by: {named(carried)}.",
                measured=f"{_btu(told)} of {_btu(carried.heat)}",
                limit="all that stands at it and beyond it, all lit at once",
                remedy=f"Set its heat to {_btu(carried.heat)}, or leave that empty: then it follows from the plan.",
            )
        if not carried.burners and not typed and told is not None:
            yield not_checked(
                rule,
                one.where,
                f"{one.place}: nothing that burns gas stands at it or beyond it; its pipe is told by {_btu(told)}, "
                "an assumption.",
                missing="what burns on it",
                remedy="Place what burns at its end, with the heat of its nameplate, or type the heat of the line.",
            )
        if not typed:
            told_without.update((f"feature:{burner.key}", one.place) for burner in reversed(carried.unknown))
    yield from _heat_unknown(yard, rule, told_without)


def _heat_unknown(yard: Yard, rule: Rule, told_without: Mapping[str, str]) -> Iterator[Finding]:
    """What burns gas and nobody said how much, by its place; and the line that is told without it."""
    for where, line in told_without.items():
        burner = next(one for one, _ in _burners(yard) if one.where == where)
        yield not_checked(
            rule,
            where,
            f"{burner.place}: how much gas it burns is not known; {line} is told without it.",
            missing="its heat",
            remedy="Type the heat of its nameplate in its recipe, or the heat of all on the line.",
        )


def _btu(heat: float) -> str:
    return f"{format_number(heat, 0)} Btu/h"


def _gas_lines(yard: Yard) -> Iterator[tuple[Placed, Carried]]:
    """Gas lines that are drawn, with what hangs on each."""
    found = carried_of(yard.job, yard.basis, lambda work: yard.parameters.get(work.id))
    for one in yard.placed:
        carried = found.get(one.work.place_id) if one.work.place_id else None
        if one.assembly.key == GAS_RUN and carried is not None:
            yield one, carried


def _burners(yard: Yard) -> Iterator[tuple[Placed, Feature]]:
    return (one for one in _features(yard) if is_burner(one[0].work, yard.basis))


def _features(yard: Yard) -> Iterator[tuple[Placed, Feature]]:
    features = {f"feature:{one.id}": one for one in yard.job.features}
    return ((one, features[one.where]) for one in yard.placed if one.where in features)


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


CHECKS: dict[str, Check] = {
    "gas-supply": gas_supply,
    "gas-longest": gas_longest,
    "gas-demand": gas_demand,
    "water-supply": water_supply,
}
