"""Quick math by command: one calculation of a trade, or the list of all with their inputs, units and sources."""

import argparse
import json
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any

from app.commands.data_commands import job_named, office_of
from app.commands.output import columns, say, say_json
from app.domain.errors import BadValue
from app.domain.trades.calculation import Answer, Calculation, Column, Input
from app.domain.trades.registry import CALCULATIONS, calculation
from app.domain.trades.working_out import by_editions, read_typed, told_steps, typed_default, worked_out
from app.services.table_editions import EditionUsed, GoingBy, editions_used, going_by


def calc(args: argparse.Namespace) -> int:
    """A calculation worked out; without a name (or with --list), what there is."""
    if args.list or not args.name:
        found = [calculation(args.name)] if args.name else list(CALCULATIONS.values())
        if args.json is None:
            say(*(line for one in found for line in _listed(one)))
        else:
            say_json([_plain(one) for one in found])
        return 0
    one = calculation(args.name)
    typed = {**_from_json(one, args.json or "{}"), **_from_words(one, args.inputs)}
    by = _going_by(args) if one.by_edition else None
    answer = worked_out(one, read_typed(one, {**by.defaults(one), **typed} if by else typed))
    used = editions_used(answer, by) if by else ()
    if args.json is None:
        say(*_words(answer, used))
    else:
        say_json({**_answered(answer), "firm": used} if by else _answered(answer))
    return 0


def _going_by(args: argparse.Namespace) -> GoingBy | None:
    """The firm's editions, where a data folder, the firm or a job was named; None: as nobody said anything."""
    if args.data is None and not args.firm and not args.job:
        return None
    with office_of(args) as office:
        return going_by(office, job_named(office, args.job)[0] if args.job else None)


def _from_json(one: Calculation, text: str) -> Mapping[str, str]:
    try:
        given = json.loads(text, parse_float=Decimal)
    except ValueError as wrong:
        raise BadValue(
            f'What stands behind --json does not read as JSON: {wrong}. Write {{"area": 200}}, say.'
        ) from wrong
    if not isinstance(given, dict):
        raise BadValue('Behind --json stand inputs by name: write {"area": 200}, say.')
    return {_known(one, name): _text(name, value) for name, value in given.items()}


def _from_words(one: Calculation, inputs: list[str]) -> Mapping[str, str]:
    found = {}
    for given in inputs:
        name, sign, value = given.partition("=")
        if not sign:
            raise BadValue(f"“{given}” has no “=”. Write each input as NAME=VALUE, such as area=200.")
        found[_known(one, name)] = value
    return found


def _known(one: Calculation, name: str) -> str:
    if one.named_input(name) is None:
        raise BadValue(f"“{name}” is no input of {one.key}. Known are {', '.join(each.name for each in one.inputs)}.")
    return name


def _text(name: str, value: Any) -> str:
    """A value of JSON as it would be typed: rows are lines of cells."""
    if isinstance(value, list):
        return "\n".join(
            "; ".join(_cell(name, cell) for cell in row) if isinstance(row, list) else _cell(name, row) for row in value
        )
    return _cell(name, value)


def _cell(name: str, value: Any) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, bool) or not isinstance(value, int | Decimal):
        raise BadValue(f'{name} is neither a number nor a text. Write 12 or "12 ft".')
    return f"{value:f}" if isinstance(value, Decimal) else str(value)


def _answered(answer: Answer) -> Mapping[str, Any]:
    one = answer.calculation
    return {
        "calculation": one.key,
        "inputs": {each.name: _number(each, answer.values[each.name]) for each in one.inputs},
        "outputs": {
            each.name: {"value": answer.values[each.name] / each.quantity.size, "unit": each.quantity.unit}
            for each in one.outputs
            if each.name in answer.values
        },
        "steps": [
            {"what": told.label, "result": told.result, "formula": told.formula, "numbers": told.filled}
            for told in told_steps(answer)
        ],
        "tables": [
            {
                "title": table.title,
                "columns": [
                    {"label": head, "unit": quantity.unit if quantity else ""} for head, quantity in table.heads
                ],
                "rows": [[_in_unit(one) for one in zip(table.heads, row, strict=True)] for row in table.rows],
            }
            for table in answer.tables
        ],
        "editions": by_editions(answer),
        "notes": answer.notes,
        "differs": one.differs,
        "validity": one.validity,
        "source": one.source,
        "cautions": one.cautions,
        "stops": one.stops,
    }


def _in_unit(cell: tuple[tuple[str, Any], Any]) -> Any:
    (_, quantity), value = cell
    return value if quantity is None else value / quantity.size


def _number(each: Input, value: Any) -> Any:
    return value if isinstance(value, str | tuple) else value / each.quantity.size


def _words(answer: Answer, used: Sequence[EditionUsed]) -> Iterator[str]:
    one = answer.calculation
    yield one.title
    told = told_steps(answer)
    yield from (
        f"  {line}" for line in columns([(step.label, step.result, _way(step.formula, step.filled)) for step in told])
    )
    for table in answer.tables:
        yield table.title
        rows = [
            [_shown(quantity, cell) for (_, quantity), cell in zip(table.heads, row, strict=True)] for row in table.rows
        ]
        yield from (f"  {line}" for line in columns([[head for head, _ in table.heads], *rows]))
    yield from (f"  By: {words}" for words in by_editions(answer))
    yield from (f"  {_of_the_firm(each)}" for each in used)
    yield from (f"  Note: {note}" for note in answer.notes)
    yield from (f"  Assumed: {words}" for words in one.assumes)
    if one.differs:
        yield f"  Another formula: {one.differs}"
    yield from (f"  CAUTION {words}" for words in one.cautions)
    if one.stops:
        yield f"  Here this ends: {one.stops}"
    yield f"  Holds for: {one.validity}"
    yield f"  Source: {one.source}"


def _of_the_firm(used: EditionUsed) -> str:
    """What the firm said of the table that an answer goes by."""
    if not used.firms:
        return "The firm has not said which edition it uses: what the town adopted decides."
    since = f" from {used.since:%B} {used.since.day}, {used.since.year}" if used.since else ""
    said = f" {used.words}" if used.words else ""
    whose = f" The job was priced on {used.day.isoformat()} and keeps the edition of that day." if used.priced else ""
    if used.agrees:
        return f"The firm uses it{since}.{said}{whose}"
    return f"CAUTION The firm uses another edition{since}: {used.firms}.{said}{whose}"


def _way(formula: str, filled: str) -> str:
    return f"= {formula} = {filled}" if filled else formula


def _shown(quantity: Any, cell: Any) -> str:
    return str(cell) if quantity is None else quantity.shown(cell)


def _listed(one: Calculation) -> Iterator[str]:
    yield f"{one.key}  {one.title} ({one.trade})"
    yield from (f"    in   {line}" for line in columns([_input_words(each) for each in one.inputs]))
    yield from (
        f"    out  {line}" for line in columns([(each.name, each.quantity.unit, each.label) for each in one.outputs])
    )
    yield f"    Source: {one.source}"


def _input_words(each: Input) -> tuple[str, str, str]:
    if each.choices:
        return each.name, " | ".join(key for key, _ in each.choices), each.label
    if each.columns:
        return each.name, "rows", f"{each.label}: {'; '.join(_column(one) for one in each.columns)}"
    return each.name, each.quantity.unit, f"{each.label} ({typed_default(each, 'feet')})"


def _column(one: Column) -> str:
    return f"{one.label} [{one.quantity.unit}]" if one.quantity.unit else one.label


def _plain(one: Calculation) -> Mapping[str, Any]:
    return {
        "name": one.key,
        "title": one.title,
        "trade": one.trade,
        "inputs": [_input_plain(each) for each in one.inputs],
        "outputs": [{"name": each.name, "label": each.label, "unit": each.quantity.unit} for each in one.outputs],
        "assumes": one.assumes,
        "differs": one.differs,
        "validity": one.validity,
        "source": one.source,
        "cautions": one.cautions,
        "stops": one.stops,
    }


def _input_plain(each: Input) -> Mapping[str, Any]:
    bounds = {
        name: None if value is None or each.choices or each.columns or each.grid else value / each.quantity.size
        for name, value in (("least", each.least), ("most", each.most))
    }
    return {
        "name": each.name,
        "label": each.label,
        "unit": "rows" if each.columns or each.grid else each.quantity.unit,
        "default": typed_default(each, "feet"),
        "choices": [key for key, _ in each.choices],
        "columns": [{"label": one.label, "unit": one.quantity.unit} for one in each.columns],
        **bounds,
    }
