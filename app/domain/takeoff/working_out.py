"""A compiled assembly worked out on a place: amounts of its pieces, and what keeps a piece from having one."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from app.domain.errors import OutlayError
from app.domain.takeoff.compiled import CompiledAssembly, CompiledInclude, CompiledParameter, CompiledPiece
from app.domain.takeoff.formula import WHOLE_WITHIN, Formula, MeasureMissing
from app.domain.takeoff.kind import Kind, unit_text
from app.domain.takeoff.trace import NO_SOURCES, Trace, figures_text, number_text, trace
from app.domain.units import LENGTH, System, format_length

Read = tuple[str, tuple[float, ...] | None]  # a measure's name, and the numbers put in its brackets
Reads = dict[Read, Any]


class Recorded(dict[str, Any]):
    """Measures of a place as one working-out sees them: what was read stands in `reads` with its value.

    A measure that is missing or cannot be found is read as None.
    """

    def __init__(self, measures: Mapping[str, Any]) -> None:
        super().__init__()
        self.measures = measures
        self.reads: Reads = {}

    def __missing__(self, name: str) -> Any:
        try:
            value = self.measures[name]
        except OutlayError:
            self.reads[name, None] = None
            raise
        self[name] = _applied(name, value, self.reads) if callable(value) else value
        if not callable(value):
            self.reads[name, None] = value
        return self[name]


def _applied(name: str, function: Any, reads: Reads) -> Any:
    """A function of a place that writes down what was asked of it and what it said."""

    def applied(*numbers: float) -> Any:
        reads[name, numbers] = None
        value = function(*numbers)
        reads[name, numbers] = value
        return value

    return applied


def still_so(reads: Reads, measures: Mapping[str, Any]) -> bool:
    """Whether every measure that was read still has the value it had."""
    return all(_read_again(name, numbers, measures) == value for (name, numbers), value in reads.items())


def _read_again(name: str, numbers: tuple[float, ...] | None, measures: Mapping[str, Any]) -> Any:
    try:
        value = measures[name]
        return value if numbers is None else value(*numbers)
    except OutlayError:
        return None


class Values(dict[str, Any]):
    """All names of one assembly on one place: parameters and constants kept, measures read through."""

    def __init__(self, compiled: CompiledAssembly, recorded: Recorded, system: System = "feet") -> None:
        super().__init__(compiled.constants)
        self.recipe = compiled.key
        self.system = system  # in which lengths are told
        self.recorded = recorded
        self.failed: dict[str, OutlayError] = {}
        self.passed: dict[str, tuple[Formula, Values, str]] = {}
        self.traces: dict[str, Trace] = {}  # of parameters, by name
        self.parameters = {parameter.name: parameter for parameter in compiled.parameters}

    def __missing__(self, name: str) -> Any:
        if name in self.failed:
            raise self.failed[name]
        if name.startswith(("thickness_of(", "coverage_of(")):
            what = name.replace("_of('", " of ").removesuffix("')")
            raise MeasureMissing(f"The {what} is not known.", name=name, remedy="Choose a material that says it.")
        value = self.recorded[name]
        self[name] = value
        return value

    def origin(self, name: str, sources: Mapping[str, str]) -> Trace | None:
        """The trace of a parameter; None for a measure."""
        parameter = self.parameters.get(name)
        if parameter is None:
            return None
        if name not in self.traces:
            of, values, source = self.passed.get(name, (parameter.formula, self, parameter.source))
            self.traces[name] = values.traced(of, parameter.label, source, sources)
        return self.traces[name]

    def traced(self, of: Formula, label: str, source: str, sources: Mapping[str, str] = NO_SOURCES) -> Trace:
        """The trace of a formula with these values."""
        return trace(
            of, self, label=label, source=source, origin=lambda name: self.origin(name, sources), sources=sources
        )


@dataclass(frozen=True, slots=True)
class Taken:
    """A piece with its amount [canonical units] and the values it came from."""

    piece: CompiledPiece
    amount: float
    values: Values


@dataclass(frozen=True, slots=True)
class Problem:
    """Why something has no amount, or an amount out of its bounds: the rule, the words, what to do."""

    rule: str
    sentence: str
    remedy: str = ""
    measured: str = ""
    limit: str = ""
    labels: tuple[str, ...] = ()  # what is not counted because of it


def work_out(
    compiled: CompiledAssembly, recorded: Recorded, system: System = "feet"
) -> tuple[tuple[Taken, ...], tuple[Problem, ...]]:
    """Amounts of all pieces, includes first, in the order of the recipe; and the problems on the way, in a system."""
    problems: list[Problem] = []
    values = Values(compiled, recorded, system)
    taken = list(_taken(compiled, values, problems))
    return tuple(taken), _merged(problems)


def parameter_values(compiled: CompiledAssembly, recorded: Recorded) -> Mapping[str, float]:
    """The parameters of an assembly on a place [canonical units]; one that lacks a measure is left out."""
    values = Values(compiled, recorded)
    _set_parameters(compiled, values, [])
    return {name: values[name] for name in values.parameters if name in values}


def _merged(problems: list[Problem]) -> tuple[Problem, ...]:
    """Problems with the same cause as one, with everything that is not counted because of it."""
    labels: dict[Problem, list[str]] = {}
    for problem in problems:
        labels.setdefault(replace(problem, labels=()), []).extend(problem.labels)
    merged = []
    for problem, names in labels.items():
        listed = ", ".join(dict.fromkeys(names))
        sentence = f"{problem.sentence} Not counted: {listed}." if listed else problem.sentence
        merged.append(replace(problem, sentence=sentence, labels=tuple(names)))
    return tuple(merged)


def _taken(compiled: CompiledAssembly, values: Values, problems: list[Problem]) -> Iterator[Taken]:
    _set_parameters(compiled, values, problems)
    for include in compiled.includes:
        yield from _included(include, values, problems)
    for piece in compiled.pieces:
        try:
            if piece.when is not None and not piece.when.holds(values):
                continue
            amount = piece.amount.number(values)
        except OutlayError as wrong:
            problems.append(_problem(wrong, piece.label))
            continue
        if amount < -WHOLE_WITHIN:
            problems.append(_negative(piece, amount))
        elif amount > 0:
            yield Taken(piece, amount, values)


def _included(include: CompiledInclude, values: Values, problems: list[Problem]) -> Iterator[Taken]:
    inner = Values(include.assembly, values.recorded, values.system)
    try:
        if include.when is not None and not include.when.holds(values):
            return
    except OutlayError as wrong:
        problems.append(_problem(wrong, include.assembly.title))
        return
    for name, passed in include.passes:
        inner.passed[name] = (passed, values, f"passed to {include.assembly.title}")
    yield from _taken(include.assembly, inner, problems)


def _set_parameters(compiled: CompiledAssembly, values: Values, problems: list[Problem]) -> None:
    for parameter in compiled.parameters:
        passed = values.passed.get(parameter.name)
        try:
            number = passed[0].number(passed[1]) if passed else parameter.formula.number(values)
        except OutlayError as wrong:
            values.failed[parameter.name] = wrong
        else:
            values[parameter.name] = number
    for parameter in compiled.parameters:
        if parameter.name in values:
            problems.extend(_out_of_bounds(parameter, values, compiled))


def _out_of_bounds(parameter: CompiledParameter, values: Values, compiled: CompiledAssembly) -> Iterator[Problem]:
    number = values[parameter.name]
    for bound, sign, words in ((parameter.least, 1, "at least"), (parameter.most, -1, "at most")):
        if bound is None:
            continue
        try:
            limit = bound.number(values)
        except OutlayError as wrong:
            yield _problem(wrong, f"{parameter.label}, {words}")
            continue
        if sign * (number - limit) < -WHOLE_WITHIN:
            measured, allowed = _apart(number, limit, parameter.kind, values.system)
            sentence = f"{parameter.label} is {measured}; it should be {words} {allowed}."
            remedy = f"Change {_rests_on(parameter, compiled)}, or go on and say why."
            yield Problem("out-of-bounds", sentence, remedy, measured, f"{words} {allowed}")


def _apart(number: float, limit: float, kind: Kind, system: System) -> tuple[str, str]:
    """A number and its limit with their unit, lengths as they are taped, in figures by which they can be told apart."""
    if kind == LENGTH:
        length, bound = format_length(number, system), format_length(limit, system)
        if length != bound:
            return length, bound
    told = (figures_text(number), figures_text(limit))
    apart = told if told[0] != told[1] else (number_text(number), number_text(limit))
    unit = unit_text(kind)
    return f"{apart[0]} {unit}".strip(), f"{apart[1]} {unit}".strip()


def _rests_on(parameter: CompiledParameter, compiled: CompiledAssembly) -> str:
    """What somebody changes: the numbers that one is worked out from, else the number itself."""
    read = [f"“{one.label}”" for one in compiled.parameters if one.name in parameter.formula.reads]
    return f"what it rests on ({', '.join(read)})" if read else f"“{parameter.label}”"


def _problem(wrong: OutlayError, label: str) -> Problem:
    if isinstance(wrong, MeasureMissing):
        return Problem("measure-missing", wrong.sentence, wrong.remedy, wrong.name, labels=(label,))
    remedy = "Change the numbers or the formula."
    return Problem("formula-failed", wrong.sentence, remedy, label, labels=(label,))


def _negative(piece: CompiledPiece, amount: float) -> Problem:
    shown = f"{number_text(amount)} {unit_text(piece.dimension)}".strip()
    sentence = f"{piece.amount.source} comes out at {shown}."
    return Problem("negative", sentence, "Change the numbers or the formula.", shown, labels=(piece.label,))
