"""The numbers of a work's recipe: as set or shipped, what each comes to at its place, and where that is from."""

from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from app.domain.basis import Assembly
from app.domain.errors import OutlayError
from app.domain.job import Work
from app.domain.takeoff.assembly import compile_assembly
from app.domain.takeoff.compiled import Chosen, CompiledAssembly, CompiledParameter
from app.domain.takeoff.explained import TakeoffTraces
from app.domain.takeoff.kind import Special
from app.domain.takeoff.trace import Trace
from app.domain.takeoff.vocabulary import PLACE_MEASURES
from app.domain.units import LENGTH, System, format_amount, format_length
from app.services.sheets import Sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class ParameterLine:
    """A number of a recipe: its formula as set, and what that comes to at its place.

    `plan`: where the number comes from that the recipe measures itself; said too where another one is set.
    """

    name: str
    label: str
    formula: str
    value: str
    least: str
    most: str
    source: str
    set_here: bool
    plan: str = ""


def number_lines(view: Sheet, work: Work, assembly: Assembly) -> Iterator[ParameterLine]:
    """The numbers of a work's recipe, in its order."""
    basis, system = view.basis, view.basis.firm.system
    compiled = compile_assembly(assembly, basis, Chosen(work.parameters, work.finishes))
    values = values_of(compiled)
    by_name = {one.name: one for one in compiled.parameters}
    at_place = _AtPlace(view, work, assembly)
    for name, parameter in assembly.parameters.items():
        known = by_name.get(name)
        value = values[name] if name in values else at_place.value(name)
        yield ParameterLine(
            name=name,
            label=parameter.label or name,
            formula=work.parameters.get(name, parameter.value),
            value=shown(known, value, system) if known and value is not None else "",
            least=_bound(known, "least", values, system),
            most=_bound(known, "most", values, system),
            source=parameter.source,
            set_here=name in work.parameters,
            plan=at_place.said(name, known, system),
        )


class _AtPlace:
    """Numbers of a work that rest on measures of its place: what they come to there, and where that is from."""

    def __init__(self, view: Sheet, work: Work, assembly: Assembly) -> None:
        asks = any("crew_days" in one.value for one in assembly.parameters.values())  # the days of all: not asked here
        self.traces = None if asks else TakeoffTraces(view.job, view.basis)
        self.work = work
        self.measures = PLACE_MEASURES[assembly.measures]

    @cached_property
    def numbers(self) -> Mapping[str, Trace]:
        return self.traces.numbers(self.work.id) if self.traces else {}

    @cached_property
    def unset(self) -> Mapping[str, Trace]:
        return self.traces.unset_numbers(self.work.id) if self.traces and self.work.parameters else self.numbers

    def value(self, name: str) -> float | None:
        """What a number comes to [canonical units]; None where a measure is missing for it."""
        found = self.numbers.get(name)
        return found.result if found else None

    def said(self, name: str, known: CompiledParameter | None, system: System) -> str:
        """What the recipe's own formula comes to, and from what; empty where it rests on no measure that says so."""
        trace = self.unset.get(name)
        if trace is None or known is None:
            return ""
        measured = (one.source for one in trace.steps if one.label in self.measures or one.label.endswith("')"))
        told = "; ".join(dict.fromkeys(source for source in measured if source))
        return f"{shown(known, trace.result, system)} ({told})" if told else ""


def values_of(compiled: CompiledAssembly) -> Mapping[str, float]:
    """Parameters that come to a number without the place's measures, in canonical units."""
    values: dict[str, Any] = dict(compiled.constants)
    for parameter in compiled.parameters:
        with suppress(OutlayError):
            values[parameter.name] = parameter.formula.number(values)
    return values


def shown(parameter: CompiledParameter, value: float, system: System) -> str:
    """A parameter's value in the units the trade speaks of."""
    if parameter.kind == LENGTH:
        return format_length(value, system)
    return f"{value:g}" if isinstance(parameter.kind, Special) else format_amount(value, parameter.kind, system)


def _bound(parameter: CompiledParameter | None, side: str, values: Mapping[str, float], system: System) -> str:
    bound = getattr(parameter, side, None)
    if parameter is None or bound is None:
        return ""
    with suppress(OutlayError):
        return shown(parameter, bound.number(values), system)
    return ""
