"""A checked formula read with a trace: every number that went in, and how the result came about."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from app.domain.takeoff.formula import WHOLE_WITHIN, Formula, FormulaFailed, MeasureMissing, Values, failure_sentence
from app.domain.takeoff.kind import Special, unit_text
from app.domain.takeoff.tree import Node
from app.domain.units import format_number

NO_SOURCES: Mapping[str, str] = {}


@dataclass(frozen=True, slots=True, kw_only=True)
class Trace:
    """How one figure came about. `filled` is the expression with the numbers put in, `steps` where they come from.

    `result` is in the canonical unit named by `unit` (empty for a plain number).
    """

    label: str
    expression: str
    filled: str
    result: float
    unit: str
    source: str = ""
    steps: tuple["Trace", ...] = ()


def trace(
    of: Formula,
    values: Values,
    *,
    label: str,
    source: str = "",
    origin: Callable[[str], "Trace | None"] = lambda _name: None,
    sources: Mapping[str, str] = NO_SOURCES,
) -> Trace:
    """Work a formula out and say how: the same result as `Formula.number`.

    `origin` gives the trace of a parameter by name; every other name becomes a step of its own, with its source from
    `sources`. Raises: FormulaFailed, MeasureMissing.
    """
    reading = _Reading(values, origin, sources)
    try:
        result = float(reading.value(of.tree))
    except (ZeroDivisionError, ValueError, OverflowError) as wrong:
        raise FormulaFailed(failure_sentence(of.source, wrong)) from wrong
    except KeyError as missing:
        name = str(missing.args[0])
        raise MeasureMissing(f"“{of.source}” needs {name}, which is not known.", name=name) from missing
    if not math.isfinite(result):
        raise FormulaFailed(failure_sentence(of.source, None))
    return Trace(
        label=label,
        expression=of.source,
        filled=reading.filled(of.tree),
        result=result,
        unit=unit_text(of.kind),
        source=source,
        steps=tuple(reading.steps.values()),
    )


@lru_cache(maxsize=16_384)
def number_text(number: float) -> str:
    """A number to four decimals, or to four figures where that would show a zero."""
    text = format_number(number, 4)
    return f"{number:.4g}" if text == "0" and number else text


def figures_text(number: float) -> str:
    """A number as a sentence tells it: whole from a thousand on, to two decimals from one on, else as `number_text`.

    >>> figures_text(95_015.9665), figures_text(3.5343), figures_text(0.0399)
    ('95,016', '3.53', '0.0399')
    """
    if abs(number) < 1:
        return number_text(number)
    return format_number(number, 0 if abs(number) >= 1000 else 2)


class _Reading:
    """One working-out: keeps the value of each node it came by, and a step for each name."""

    def __init__(self, values: Values, origin: Callable[[str], Trace | None], sources: Mapping[str, str]) -> None:
        self.values = values
        self.origin = origin
        self.sources = sources
        self.steps: dict[str, Trace] = {}
        self.known: dict[int, Any] = {}  # by id of the node: the tree outlives the reading

    def value(self, node: Node) -> Any:
        found = self._worked_out(node)
        self.known[id(node)] = found
        return found

    def _worked_out(self, node: Node) -> Any:
        if not node.args:
            return self._measured(node, self.values[node.name]) if node.op == "measure" else node.value
        if node.op in _LAZY:
            return self._lazily(node)
        args = [self.value(arg) for arg in node.args]
        if node.op == "applied":
            return self._measured(node, self.values[node.name](*args))
        return _power(args[0], int(node.value)) if node.op == "**" else _OPERATIONS[node.op](*args)

    def _lazily(self, node: Node) -> Any:
        if node.op == "if":
            return self.value(node.args[1] if self.value(node.args[0]) else node.args[2])
        together = all if node.op == "and" else any
        return together(self.value(arg) for arg in node.args)

    def _measured(self, node: Node, value: Any) -> Any:
        name = node.text if node.op == "applied" else node.name
        if name not in self.steps:
            filled = f"{node.name}({', '.join(self.filled(arg) for arg in node.args)})" if node.args else ""
            self.steps[name] = self.origin(name) or Trace(
                label=name,
                expression=name,
                filled=filled,
                result=float(value),
                unit=unit_text(node.kind),
                source=self.sources.get(node.name, ""),
            )
        return value

    def filled(self, node: Node) -> str:
        """The expression with numbers in place of names; of a choice, the branch that holds."""
        node = self._branch(node)
        if not node.args or node.op in ("applied", "if"):
            return self._number(node) if node.name else node.text
        args = [self._bracketed(arg, node.op, last=place > 0) for place, arg in enumerate(node.args)]
        if node.op in ("neg", "not", "**"):
            return f"{args[0]}^{int(node.value)}" if node.op == "**" else f"{_SHOWN[node.op]}{args[0]}"
        if node.op in _SHOWN:
            return _SHOWN[node.op].join(args)
        return f"{node.op}({', '.join(self.filled(arg) for arg in node.args)})"

    def _branch(self, node: Node) -> Node:
        """Of a choice that was made, the branch that holds."""
        while node.op == "if" and id(node.args[0]) in self.known:
            node = node.args[1] if self.known[id(node.args[0])] else node.args[2]
        return node

    def _number(self, node: Node) -> str:
        """A measured number with its unit; its name where it was not needed (`x > 0 or y > 0` with x above 0)."""
        value = self.known.get(id(node))
        if value is None:
            return node.text
        if node.kind is Special.TRUTH:
            return "yes" if value else "no"
        return f"{number_text(value)} {unit_text(node.kind)}".strip()

    def _bracketed(self, node: Node, outer: str, *, last: bool) -> str:
        """An argument with brackets where it would else be read with the wrong neighbor."""
        inner, around = _BINDS.get(self._branch(node).op, 9), _BINDS.get(outer, 9)
        loose = inner < around or (inner == around and last and outer in ("-", "/"))
        return f"({self.filled(node)})" if loose else self.filled(node)


def _power(base: float, exponent: int) -> float:
    product = base
    for _ in range(abs(exponent) - 1):
        product = product * base
    return product if exponent > 0 else 1.0 / product


_LAZY = ("if", "and", "or")
_OPERATIONS: Mapping[str, Callable[..., Any]] = {
    "+": lambda a, b: a + b,
    "-": lambda a, b: a - b,
    "*": lambda a, b: a * b,
    "/": lambda a, b: a / b,
    "<": lambda a, b: a < b,
    "<=": lambda a, b: a <= b,
    ">": lambda a, b: a > b,
    ">=": lambda a, b: a >= b,
    "==": lambda a, b: a == b,
    "!=": lambda a, b: a != b,
    "neg": lambda a: -a,
    "not": lambda a: not a,
    "min": min,
    "max": max,
    "sqrt": math.sqrt,
    "floor": lambda a: (a + WHOLE_WITHIN) // 1.0,
    "ceil": lambda a: -((WHOLE_WITHIN - a) // 1.0),
    "round": lambda a: (a + (0.5 + WHOLE_WITHIN)) // 1.0,
}
_BINDS: Mapping[str, int] = {
    **dict.fromkeys(("if", "or"), 1),
    "and": 2,
    "not": 3,
    **dict.fromkeys(("<", "<=", ">", ">=", "==", "!="), 4),
    **dict.fromkeys(("+", "-"), 5),
    **dict.fromkeys(("*", "/"), 6),
    "neg": 7,
}
_SHOWN: Mapping[str, str] = {
    "+": " + ",
    "-": " − ",
    "*": " × ",
    "/": " ÷ ",
    "<": " < ",
    "<=": " ≤ ",
    ">": " > ",
    ">=": " ≥ ",
    "==": " = ",
    "!=": " ≠ ",
    "and": " and ",
    "or": " or ",
    "neg": "−",
    "not": "not ",
}
