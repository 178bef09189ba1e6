"""Formulas: one checked tree, read as numbers here, as arrays and with a trace in the modules beside.

Numbers are IEEE doubles in canonical units (ft, lb, hour, each). `ceil` and `floor` take what lies within 1e-9 of a
whole number as that whole; `round` rounds halves up. A division by zero, the root of a negative number and a result
that is not finite fail and name the formula. Both sides of `if` are checked, only the one that holds is worked out.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import count
from typing import Any

from app.domain.errors import OutlayError
from app.domain.takeoff.kind import Kind, Special, said
from app.domain.takeoff.tree import DimensionMismatch, Node, Scope, checked_tree
from app.domain.units import Dimension

WHOLE_WITHIN = 1e-9  # a number this near to a whole one is that whole one

Values = Mapping[str, Any]  # by name: numbers, truths, and the functions of a length


class FormulaFailed(OutlayError):
    """A formula that has no result for the numbers put in."""


class MeasureMissing(OutlayError):
    """A measure that a formula needs and nobody has given yet. `name` is the measure."""

    def __init__(self, sentence: str, *, name: str, remedy: str = "") -> None:
        super().__init__(sentence, field=name)
        self.name = name
        self.remedy = remedy


@dataclass(frozen=True)
class Formula:
    """A checked formula. `kind` is the dimension of its result, `reads` the measures and parameters it names."""

    source: str
    tree: Node = field(repr=False)

    @property
    def kind(self) -> Kind:
        """Dimension of the result; `Special.ANY` for a bare 0, `Special.TRUTH` for a comparison."""
        return self.tree.kind

    @cached_property
    def reads(self) -> frozenset[str]:
        """Names of the measures, parameters and functions of a length in it."""
        return frozenset(node.name for node in walk(self.tree) if node.name)

    @cached_property
    def number_of(self) -> Callable[[Values], Any]:
        """The bare compiled function of the values by name. Raises what Python's arithmetic raises."""
        return compile_numbers(self.tree)

    def number(self, values: Values) -> float:
        """The result for these values, in canonical units.

        Raises: FormulaFailed naming the formula; MeasureMissing where a value is not there.
        """
        try:
            result = float(self.number_of(values))
        except KeyError as missing:
            name = str(missing.args[0])
            raise MeasureMissing(f"“{self.source}” needs {name}, which is not known.", name=name) from missing
        except (ZeroDivisionError, ValueError, OverflowError) as wrong:
            raise FormulaFailed(failure_sentence(self.source, wrong)) from wrong
        if not math.isfinite(result):
            raise FormulaFailed(failure_sentence(self.source, None))
        return result

    def holds(self, values: Values) -> bool:
        """Whether a condition is true, or a number other than 0."""
        return self.number(values) != 0


def formula(source: str, scope: Scope, *, wanted: Kind | None = None, place: str = "") -> Formula:
    """Read and check a formula.

    `wanted` is the dimension the result must have, `place` what it is for, put before the sentence of an error.
    Raises: FormulaRefused, UnknownName, DimensionMismatch.

    >>> from app.domain.units import AREA, LENGTH
    >>> scope = Scope(names={"area": AREA, "base": LENGTH})
    >>> formula("area * base", scope).number({"area": 288.0, "base": 0.5})
    144.0
    """
    found = Formula(source, checked_tree(source, scope))
    if wanted is not None and not fits(found.kind, wanted):
        before = f"{place}: " if place else ""
        raise DimensionMismatch(f"{before}{source} gives {said(found.kind)}; {said(wanted)} is wanted.")
    return found


def fits(kind: Kind, wanted: Kind) -> bool:
    """Whether a result of one kind may stand where another is wanted: the same, or a 0 for any number."""
    return kind == wanted or (kind is Special.ANY and isinstance(wanted, Dimension))


def failure_sentence(source: str, wrong: Exception | None) -> str:
    """Why a formula has no result, in words."""
    if isinstance(wrong, ZeroDivisionError):
        return f"“{source}” divides by zero with these numbers."
    if isinstance(wrong, ValueError):
        return f"“{source}” takes the square root of a negative number with these numbers."
    return f"“{source}” grows beyond any number with these numbers."


def walk(node: Node) -> "list[Node]":
    """Every node of a tree, itself first."""
    found = [node]
    for arg in node.args:
        found.extend(walk(arg))
    return found


def compile_numbers(tree: Node) -> Callable[[Values], Any]:
    """A checked tree as a Python function without builtins."""
    scope = {"__builtins__": {}, "min": min, "max": max, "sqrt": math.sqrt}
    compiled: Callable[[Values], Any] = eval(f"lambda v: {_Writer().code(tree)}", scope)  # noqa: S307 - written from the checked tree alone
    return compiled


class _Writer:
    """Writes Python for a checked tree. Whole powers are products, floors are `// 1.0`: as the arrays do it."""

    def __init__(self) -> None:
        self.temporaries = (f"t{number}" for number in count())

    def code(self, node: Node) -> str:
        if not node.args:
            return f"v[{node.name!r}]" if node.op == "measure" else repr(node.value)
        args = [self.code(arg) for arg in node.args]
        if node.op == "**":
            return self._power(args[0], int(node.value))
        if node.op in ("min", "max", "applied"):
            function = f"v[{node.name!r}]" if node.op == "applied" else node.op
            return f"{function}({', '.join(args)})"
        if node.op in _WRITTEN:
            return _WRITTEN[node.op].format(*args, name=repr(node.name))
        return f"({f' {node.op} '.join(args)})"

    def _power(self, base: str, exponent: int) -> str:
        name = next(self.temporaries)
        product = f"(({name} := {base})" + f" * {name}" * (abs(exponent) - 1) + ")"
        return product if exponent > 0 else f"(1.0 / {product})"


_WRITTEN: Mapping[str, str] = {
    "neg": "(-{0})",
    "not": "(not {0})",
    "if": "({1} if {0} else {2})",
    "sqrt": "sqrt({0})",
    "floor": f"(({{0}} + {WHOLE_WITHIN!r}) // 1.0)",
    "ceil": f"(-(({WHOLE_WITHIN!r} - {{0}}) // 1.0))",
    "round": f"(({{0}} + {0.5 + WHOLE_WITHIN!r}) // 1.0)",
}
