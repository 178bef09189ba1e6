"""Quick math as a page needs it: the calculations by trade, one with what was typed and its answer, in words."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any
from uuid import UUID

from app.domain.errors import NotFound, OutlayError
from app.domain.trades.calculation import Answer, Calculation, Input, Table
from app.domain.trades.registry import calculation, found_by
from app.domain.trades.working_out import NotUnderstood, ToldStep, read_typed, told_steps, typed_default, worked_out
from app.domain.units import System
from app.services.office import Office
from app.services.table_editions import EditionUsed, editions_used, going_by


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldShown:
    """One input as the page shows it; `rows` is the height of one that is typed as lines."""

    name: str
    label: str
    value: str
    unit: str
    kind: str  # length, choice, rows, number
    error: str = ""
    hint: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    rows: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class TableShown:
    """Rows of an answer, in words; a head says whether its column holds figures."""

    title: str
    heads: tuple[tuple[str, bool], ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class QuickSheet:
    """A calculation as typed: its fields, and its answer or the sentences that say why there is none."""

    calculation: Calculation
    fields: tuple[FieldShown, ...]
    steps: tuple[ToldStep, ...] = ()
    tables: tuple[TableShown, ...] = ()
    notes: tuple[str, ...] = ()
    error: str = ""  # of the calculation as a whole
    answer: Answer | None = None
    typed: Mapping[str, str] = field(default_factory=dict)
    editions: tuple[EditionUsed, ...] = ()

    @property
    def status(self) -> int:
        """The status of the page."""
        return 200 if self.answer else 422

    @property
    def main(self) -> tuple[ToldStep, ...]:
        """What was asked."""
        return tuple(one for one in self.steps if one.main)

    @property
    def in_a_line(self) -> str:
        """The answer as a line of a note: what came out, and of what."""
        out = ", ".join(f"{one.label.lower()} {one.result}" for one in self.main)
        put_in = ", ".join(f"{one.label.lower()} {_short(one)}" for one in self.fields)
        return f"{self.calculation.title}: {out} ({put_in})."


def listed(search: str, *, money: bool) -> tuple[tuple[str, tuple[Calculation, ...]], ...]:
    """The calculations that a search finds, by trade."""
    return found_by(search, money=money)


def quick_sheet(
    office: Office, key: str, sent: Mapping[str, str], *, money: bool, job_id: UUID | None = None
) -> QuickSheet:
    """A calculation with what was sent; an input that was not sent stands at its default.

    The edition of a printed table begins as the firm uses it today, or on the day the job was priced.
    Raises: NotFound for one that is not there, or is of money where money is not shown.
    """
    one = calculation(key)
    if one.money and not money:
        raise NotFound("This calculation is the office's. Choose another one of the list.")
    firm = office.firm()
    by = going_by(office, job_id) if one.by_edition else None
    begins = by.defaults(one) if by else {}
    typed = {
        each.name: sent.get(each.name, begins.get(each.name) or typed_default(each, firm.system)) for each in one.inputs
    }
    try:
        answer = worked_out(one, read_typed(one, typed, firm.system))
    except NotUnderstood as wrong:
        return _sheet(one, typed, firm.system, errors=wrong.sentences)
    except OutlayError as wrong:
        beside = {wrong.field: wrong.sentence} if wrong.field in typed else {}
        return _sheet(one, typed, firm.system, errors=beside, error="" if beside else wrong.sentence)
    sheet = _sheet(one, typed, firm.system, answer=answer, currency=firm.currency)
    return replace(sheet, editions=editions_used(answer, by)) if by else sheet


def _sheet(
    one: Calculation,
    typed: Mapping[str, str],
    system: System,
    *,
    errors: Mapping[str, str] | None = None,
    error: str = "",
    answer: Answer | None = None,
    currency: str = "USD",
) -> QuickSheet:
    wrong = errors or {}
    return QuickSheet(
        calculation=one,
        fields=tuple(_field(each, typed[each.name], system, wrong.get(each.name, "")) for each in one.inputs),
        steps=told_steps(answer, system, currency) if answer else (),
        tables=tuple(_table(each, system) for each in answer.tables) if answer else (),
        notes=answer.notes if answer else (),
        error=error,
        answer=answer,
        typed=typed,
    )


def _field(one: Input, typed: str, system: System, error: str) -> FieldShown:
    rows = one.columns or one.grid
    kind = "choice" if one.choices else "rows" if rows else "length" if one.quantity.how == "length" else "number"
    hint = one.hint or ("; ".join(_column(each, system) for each in one.columns) if one.columns else "")
    return FieldShown(
        name=one.name,
        label=one.label,
        value=typed,
        unit=one.quantity.unit_in(system),
        kind=kind,
        error=error,
        hint=hint,
        choices=one.choices,
        rows=min(12, max(3, typed.count("\n") + 2)) if rows else 0,
    )


def _column(one: Any, system: System) -> str:
    unit = one.quantity.unit_in(system)
    words = f"{one.label} ({unit})" if unit else one.label
    return f"{words}: {' or '.join(one.choices)}" if one.choices else words


def _table(one: Table, system: System) -> TableShown:
    heads = tuple((words, quantity is not None) for words, quantity in one.heads)
    rows = tuple(
        tuple(
            str(cell) if quantity is None else quantity.shown(cell, system)
            for (_, quantity), cell in zip(one.heads, row, strict=True)
        )
        for row in one.rows
    )
    return TableShown(title=one.title, heads=heads, rows=rows)


def _short(one: FieldShown) -> str:
    if one.choices:
        return dict(one.choices).get(one.value, one.value).lower()
    text = " / ".join(one.value.split("\n"))
    told = text if len(text) <= 80 else f"{text[:79]}…"
    return told if one.kind == "length" or told.endswith(one.unit) else f"{told} {one.unit}".rstrip()
