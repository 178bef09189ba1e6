"""A calculation from what was typed to its answer, and the answer in words: formula and numbers put in."""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from app.domain.errors import BadValue, OutlayError
from app.domain.trades.calculation import Answer, Calculation, Column, Input, Step, Working
from app.domain.trades.quantity import TEXT, Quantity
from app.domain.units import System

MOST_ROWS = 600
LONGEST_ROWS = 40_000  # characters of an input of rows
LONGEST_WORD = 60


class NotUnderstood(BadValue):
    """Inputs that cannot be read or lie outside: a sentence by the name of each."""

    def __init__(self, sentences: Mapping[str, str]) -> None:
        super().__init__(" ".join(sentences.values()), field=next(iter(sentences), ""))
        self.sentences = sentences


def read_typed(calculation: Calculation, typed: Mapping[str, str], system: System = "feet") -> dict[str, Any]:
    """The inputs in canonical units from texts as typed; one that is not there is its default.

    Raises: NotUnderstood with a sentence for each input that is no such number or out of its bounds.
    """
    given: dict[str, Any] = {}
    wrong: dict[str, str] = {}
    for one in calculation.inputs:
        try:
            given[one.name] = _read(one, typed.get(one.name), system)
        except (OutlayError, ArithmeticError) as refused:
            wrong[one.name] = getattr(refused, "sentence", f"{one.label} cannot be read as typed. Look at it again.")
    if wrong:
        raise NotUnderstood(wrong)
    return given


def worked_out(calculation: Calculation, given: Mapping[str, Any]) -> Answer:
    """The answer for inputs in canonical units. Raises: OutlayError with a sentence where it has none."""
    working = Working(dict(given))
    try:
        calculation.work(working)
    except (ZeroDivisionError, OverflowError) as wrong:
        raise BadValue(
            "These numbers have no answer: something is divided by nothing, or grows past all bounds."
        ) from wrong
    return Answer(calculation, working.values, tuple(working.steps), tuple(working.notes), tuple(working.tables))


def by_editions(answer: Answer) -> tuple[str, ...]:
    """The editions of printed tables that an answer goes by, in words."""
    one = answer.calculation
    return tuple(dict(each.choices)[str(answer.values[each.name])] for each in one.by_edition)


def typed_default(one: Input, system: System) -> str:
    """What stands in an input before anything is typed."""
    if one.default is None:
        return ""
    if isinstance(one.default, str):
        return one.default
    if isinstance(one.default, tuple):
        return "\n".join(_typed_row(one, row, system) for row in one.default)
    return one.quantity.typed(one.default, system)


def _typed_row(one: Input, row: tuple[Any, ...], system: System) -> str:
    if one.grid:
        return " ".join(one.quantity.bare(cell, system) for cell in row)
    cells = zip(one.columns, row, strict=False)
    return "; ".join(cell if isinstance(cell, str) else column.quantity.bare(cell, system) for column, cell in cells)


def _read(one: Input, typed: str | None, system: System) -> Any:
    if one.choices:
        return _chosen(one, typed)
    if one.columns or one.grid:
        return _rows(one, typed_default(one, system) if typed is None else typed, system)
    if typed is None:
        return one.default
    if not typed.strip():
        if one.default is None:
            return None
        raise BadValue(f"{one.label} is empty. Type it.")
    value = one.quantity.read(typed, system, signed=(one.least or 0) < 0 or one.least is None)
    _bounded(one, value, system)
    return value


def _chosen(one: Input, typed: str | None) -> str:
    known = [key for key, _ in one.choices]
    if typed is None:
        return str(one.default)
    if typed.strip() not in known:
        raise BadValue(f"{one.label}: choose one of {', '.join(known)}.")
    return typed.strip()


def _bounded(one: Input, value: float, system: System) -> None:
    shown, unit = one.quantity.shown, 1e-9
    if one.least is not None and value < one.least - unit * abs(one.least):
        raise BadValue(f"{one.label}: {shown(value, system)} is too little, {shown(one.least, system)} is the least.")
    if one.most is not None and value > one.most + unit * abs(one.most):
        raise BadValue(f"{one.label}: {shown(value, system)} is too much, {shown(one.most, system)} is the most.")


def _rows(one: Input, text: str, system: System) -> tuple[tuple[Any, ...], ...]:
    if len(text) > LONGEST_ROWS:
        raise BadValue(f"{one.label}: {len(text):,} characters are too many; {LONGEST_ROWS:,} fit.")
    lines = [(number, line.strip()) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    if not lines:
        raise BadValue(f"{one.label}: nothing was typed. Type one to a line.")
    if len(lines) > MOST_ROWS:
        raise BadValue(f"{one.label}: {len(lines):,} lines are too many; {MOST_ROWS} fit.")
    return tuple(_line(one, number, line, system) for number, line in lines)


def _line(one: Input, number: int, line: str, system: System) -> tuple[Any, ...]:
    try:
        if one.grid:
            return tuple(one.quantity.read(cell, system, signed=True) for cell in re.split(r"[;,\s]+", line))
        cells = _cells(line)
        if len(cells) > len(one.columns):
            raise BadValue(f"{len(cells)} entries; {len(one.columns)} are wanted: {_named(one.columns)}.")
        return tuple(
            _cell(column, cells[at] if at < len(cells) else "", system) for at, column in enumerate(one.columns)
        )
    except OutlayError as wrong:
        raise BadValue(f"{one.label}, line {number}: {wrong.sentence}") from wrong


def _cells(line: str) -> list[str]:
    """The entries of a line: apart by semicolons, else by commas where none can be read as thousands."""
    if not re.search(r"[;\t]", line) and re.search(r"\d,\d{3}(?!\d)", line):
        raise BadValue(f"“{line[:LONGEST_WORD]}”: a comma may be a thousand or a new entry. Put ; between entries.")
    return [cell.strip() for cell in re.split(r"[;\t]" if re.search(r"[;\t]", line) else ",", line)]


def _cell(column: Column, text: str, system: System) -> Any:
    if not text:
        if column.default is None:
            raise BadValue(f"{column.label} is missing.")
        return column.default
    if column.choices and text not in column.choices:
        raise BadValue(f"{column.label}: “{text[:LONGEST_WORD]}” is none of {', '.join(column.choices)}.")
    if column.quantity is TEXT:
        return text[:LONGEST_WORD]
    return column.quantity.read(text, system, signed=True)


def _named(columns: Iterable[Column]) -> str:
    return ", ".join(one.label.lower() for one in columns)


@dataclass(frozen=True, slots=True)
class ToldStep:
    """One output as it is told: what it is, how much, its formula in words and with the numbers put in."""

    label: str
    result: str
    main: bool
    formula: str
    filled: str


def told_steps(answer: Answer, system: System = "feet", currency: str = "USD") -> tuple[ToldStep, ...]:
    """Every step of an answer, as it is told."""
    return tuple(
        _told(answer, one, lambda quantity, value: quantity.shown(value, system, currency)) for one in answer.steps
    )


def _told(answer: Answer, step: Step, shown: Callable[[Quantity, float], str]) -> ToldStep:
    output = next(one for one in answer.calculation.outputs if one.name == step.name)

    def number(found: "re.Match[str]") -> str:
        quantity = answer.calculation.quantity_of(found[0])
        value = answer.values.get(found[0])
        return shown(quantity, value) if quantity and isinstance(value, float) else found[0]

    return ToldStep(
        label=output.label,
        result=shown(output.quantity, answer.values[step.name]),
        main=output.main,
        formula=step.words or _signs(_NAME.sub(lambda found: found[0].replace("_", " "), step.formula)),
        filled="" if step.words else _signs(_NAME.sub(number, step.formula)),
    )


_NAME = re.compile(r"\b[a-z][a-z0-9_]*\b(?!\()")


def _signs(text: str) -> str:
    for plain, sign in ((" ** ", " ^ "), (" * ", " × "), (" / ", " ÷ "), (" - ", " − ")):
        text = text.replace(plain, sign)
    return text
