"""The rows of a spreadsheet as a table: where its headings are, what stands below. No cell is understood here."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.domain.errors import BadValue
from app.domain.pricebook.columns import known_headings

LOOKED_AT = 40  # rows: the headings of a list stand near its top
TITLE_CELLS = 1  # a row with so many cells is a title, not the upper half of headings


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One row: its number as a spreadsheet counts, its cells as text, blank ones at the end left out."""

    number: int
    cells: tuple[str, ...]

    def cell(self, column: int) -> str:
        """The text of a column, empty where the row is shorter."""
        return self.cells[column] if column < len(self.cells) else ""

    @property
    def filled(self) -> int:
        """How many cells hold something."""
        return sum(1 for cell in self.cells if cell)


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Headings, the rows below them, and what must be known about how they were read."""

    headings: tuple[str, ...]
    lines: tuple[Line, ...]
    notes: tuple[str, ...] = ()

    def column(self, column: int) -> tuple[str, ...]:
        """All texts of a column that are not blank."""
        return tuple(cell for line in self.lines if (cell := line.cell(column)))


def table_of(rows: Sequence[Sequence[str]], notes: Sequence[str] = ()) -> Table:
    """Rows of cells as a table. Blank rows are passed over; rows keep the number they have in the file.

    Raises: BadValue where there is nothing below a heading.
    """
    lines = [_line(number, cells) for number, cells in enumerate(rows, start=1)]
    filled = [line for line in lines if line.cells]
    if len(filled) < 2:
        raise BadValue("The file has no rows below a heading. A price list needs a heading and a row for each price.")
    at = _heading_at(filled)
    headings = _headings(filled[at], filled[at - 1] if at else None)
    below = tuple(filled[at + 1 :])
    if not below:
        raise BadValue(f"Row {filled[at].number} reads as the heading, and nothing stands below it.")
    widths = sorted(len(line.cells) for line in below)
    columns = max(len(headings), widths[len(widths) // 2])  # a column may lack a heading; a row or two may run over
    padded = (*headings, *("",) * (columns - len(headings)))
    return Table(headings=padded, lines=below, notes=tuple(notes))


def _line(number: int, cells: Sequence[str]) -> Line:
    texts = [" ".join(cell.split()) for cell in cells]
    while texts and not texts[-1]:
        texts.pop()
    return Line(number=number, cells=tuple(texts))


def _heading_at(lines: Sequence[Line]) -> int:
    """The row among the first that knows the most headings; the first with several cells where none knows any."""
    scored = [(known_headings(line.cells), -at) for at, line in enumerate(lines[:LOOKED_AT])]
    best, place = max(scored)
    if best:
        return -place
    return next((at for at, line in enumerate(lines[:LOOKED_AT]) if line.filled > TITLE_CELLS), 0)


def _headings(line: Line, above: Line | None) -> tuple[str, ...]:
    """The headings; where cells were merged, what stands in the row above belongs to them."""
    if above is None or (above.filled <= TITLE_CELLS and above.cell(0)):
        return line.cells
    width = max(len(line.cells), len(above.cells))
    return tuple(f"{above.cell(at)} {line.cell(at)}".strip() for at in range(width))
