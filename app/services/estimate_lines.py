"""Lines of an estimate in words and in the firm's units."""

from dataclasses import dataclass

from app.documents.formats import Formats
from app.domain.costing.lines import Line
from app.domain.keeping import BoundedByIdentity


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line in words. `key` is its material where it waits for a price."""

    title: str
    figure: str
    amount: str
    amount_figure: str
    hours: str
    hours_figure: str
    cost: str
    priced: bool
    key: str


_ROWS: BoundedByIdentity[Line, tuple[Formats, Row]] = BoundedByIdentity(5_000)


def row_of(line: Line, fmt: Formats) -> Row:
    """A line in words; the words of one that did not change are kept."""
    kept_row = _ROWS.get(line)
    if kept_row is None or kept_row[0] != fmt:
        kept_row = (fmt, _row_of(line, fmt))
        _ROWS.keep(line, kept_row)
    return kept_row[1]


def _row_of(line: Line, fmt: Formats) -> Row:
    required = line.kind in ("material", "task")
    return Row(
        title=line.title,
        figure=line.figure,
        amount=fmt.as_bought(line.amount, line.unit) if required else "",
        amount_figure=_amount_figure(line) if required else "",
        hours_figure=f"worked:{line.work_id}:{line.index}" if required else line.figure,
        hours=fmt.number(line.hours) if line.hours else "",
        cost=fmt.money(line.cents),
        priced=line.priced,
        key=line.key,
    )


def _amount_figure(line: Line) -> str:
    """What is wanted of a material, losses in it; what a task is done to."""
    return f"{'wanted' if line.kind == 'material' else 'amount'}:{line.work_id}:{line.index}"
