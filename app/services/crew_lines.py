"""A line in the ground in words for the crew: a gas pipe and what it carries, a power line and how deep it lies."""

from collections.abc import Iterator

from app.documents.tongues import ENGLISH, Tongue
from app.domain.crew.lines import GasPipe, PowerLine
from app.domain.takeoff.cover import BUILDING, DRIVE, SLAB
from app.domain.units import System, format_length, format_number


def line_words(
    gas: GasPipe | None, power: PowerLine | None, system: System, say: Tongue = ENGLISH
) -> Iterator[tuple[str, str]]:
    """What is said of a line in the ground, whichever it is."""
    yield from gas_words(gas, system, say) if gas else ()
    yield from power_words(power, system, say) if power else ()


def gas_words(pipe: GasPipe, system: System, say: Tongue = ENGLISH) -> Iterator[tuple[str, str]]:
    """The pipe of a gas line, its heat with what it is summed from, the length that sized it, its trench."""
    size = f"{pipe.size} in" if pipe.size else say("%(inches)s in inside", inches=format_number(pipe.inside, 3))
    budget = say("%(size)s, for the budget: the licensed gas fitter designs, lays and tests it", size=size)
    yield say("Gas pipe"), budget
    gas = say("propane") if pipe.propane else say("natural gas")
    yield say("Carries"), f"{format_number(pipe.heat)} Btu/h, {gas}: {_from(pipe, say)}"
    yield (
        say("Longest length"),
        say("%(length)s, where the gas comes in to the farthest end", length=_ft(pipe.longest, system)),
    )
    told = say("%(depth)s deep, %(cover)s of cover", depth=_ft(pipe.trench, system), cover=_ft(pipe.cover, system))
    yield say("Trench"), told


def power_words(line: PowerLine, system: System, say: Tongue = ENGLISH) -> Iterator[tuple[str, str]]:
    """How deep a power line is wanted, for which wiring, at which of the places it passes; its trench."""
    yield say("Wiring"), say("%(method)s: the licensed electrician designs and connects it", method=say(line.method))
    where = _where(line, say)
    by = say("NFPA 70 table 300.5, edition %(year)s", year=line.edition) if line.edition else say("NFPA 70 table 300.5")
    least = say("%(cover)s at least, %(where)s", cover=_ft(line.needed, system), where=where)
    yield say("Cover wanted"), f"{least} ({by})"
    told = say("%(depth)s deep, %(cover)s of cover", depth=_ft(line.trench, system), cover=_ft(line.cover, system))
    yield say("Trench"), told


def _where(line: PowerLine, say: Tongue) -> str:
    if line.kind == BUILDING:
        return say("below a building, in a raceway")
    if line.kind == DRIVE:
        return say("where it passes below what is driven on: %(place)s", place=line.place)
    if line.kind == SLAB:
        return say("below a concrete slab: %(place)s", place=line.place)
    return say("in the yard")


def _ft(length: float, system: System) -> str:
    return format_length(length, system)


def _from(pipe: GasPipe, say: Tongue) -> str:
    """What the heat is summed from, or that it was set or is assumed; and of what it is not known."""
    known = [one for one in pipe.carried.burners if one.heat is not None]
    summed = ", ".join(f"{one.title} {format_number(one.heat or 0.0)}" for one in known)
    if pipe.typed:
        told = say("set in the office; by the plan %(what)s", what=summed) if summed else say("set in the office")
    else:
        told = summed or say("assumed, the heat of nothing on it is known")
    unknown = ", ".join(one.title for one in pipe.carried.unknown)
    return f"{told}; {say('not known: %(what)s', what=unknown)}" if unknown else told
