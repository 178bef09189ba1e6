"""An assembly's parameters: what kind each is, and the order in which they need one another."""

from collections.abc import Iterator, Mapping

from app.domain.basis import Assembly
from app.domain.takeoff.compiled import CompiledParameter
from app.domain.takeoff.formula import Formula, formula
from app.domain.takeoff.kind import Kind, Special
from app.domain.takeoff.tree import DimensionMismatch, FormulaRefused
from app.domain.takeoff.vocabulary import measures_of, scope_of
from app.domain.units import FORMULA_UNITS, RATIO


class ParameterKinds:
    """Works out the parameters' kinds in the order they need one another."""

    def __init__(self, assembly: Assembly, roles: tuple[Mapping[str, Kind], Mapping[str, Kind]]) -> None:
        self.texts = {name: parameter.value for name, parameter in assembly.parameters.items()}
        self.labels = {name: parameter.label or name for name, parameter in assembly.parameters.items()}
        self.measures = measures_of(assembly.measures)
        self.done: dict[str, Formula] = {}
        self.under_way: list[str] = []
        self.failed: set[str] = set()
        self.scope = scope_of(assembly.measures, _Names(self), *roles)

    def resolve(self, name: str) -> Formula:
        """The checked formula of a parameter. Raises: FormulaRefused, on a circle with the names in it."""
        if name in self.done:
            return self.done[name]
        if name in self.measures or name in FORMULA_UNITS:
            raise FormulaRefused(f"parameter “{name}” has the name of a measure or unit; choose another name.")
        if name in self.under_way:
            circle = " → ".join([*self.under_way[self.under_way.index(name) :], name])
            raise FormulaRefused(f"parameters need one another in a circle: {circle}.")
        if name in self.failed:
            raise FormulaRefused(f"parameter {self.labels[name]} has no value yet.")
        self.under_way.append(name)
        self.failed.add(name)
        try:
            found = formula(self.texts[name], self.scope)
        finally:
            self.under_way.pop()
        if found.kind is Special.TRUTH:
            raise DimensionMismatch(f"{self.labels[name]}: {found.source} is true or false; a number is wanted.")
        self.failed.discard(name)
        self.done[name] = found
        return found


class _Names(Mapping[str, Kind]):
    """Measures and parameters with their kinds; a parameter is worked out when it is first looked at."""

    def __init__(self, parameters: ParameterKinds) -> None:
        self.parameters = parameters

    def __getitem__(self, name: str) -> Kind:
        measures = self.parameters.measures
        if name in measures:
            return measures[name]
        found = self.parameters.resolve(name).kind
        return RATIO if found is Special.ANY else found

    def __contains__(self, name: object) -> bool:
        return name in self.parameters.measures or name in self.parameters.texts

    def __iter__(self) -> Iterator[str]:
        return iter((*self.parameters.measures, *self.parameters.texts))

    def __len__(self) -> int:
        return len(self.parameters.measures) + len(self.parameters.texts)


def in_order_of_need(parameters: Mapping[str, CompiledParameter]) -> tuple[str, ...]:
    """Names so that each stands after those its formula reads. Raises: FormulaRefused on a circle."""
    order: dict[str, None] = {}
    for name in parameters:
        _place(name, (), parameters, order)
    return tuple(order)


def _place(
    name: str, path: tuple[str, ...], parameters: Mapping[str, CompiledParameter], order: dict[str, None]
) -> None:
    """Put a name into the order after all that its formula reads; `path` is who asks for it."""
    if name in path:
        circle = " → ".join((*path[path.index(name) :], name))
        raise FormulaRefused(f"parameters need one another in a circle: {circle}.")
    if name not in order:
        for needed in sorted(parameters[name].formula.reads & parameters.keys()):
            _place(needed, (*path, name), parameters, order)
        order[name] = None
