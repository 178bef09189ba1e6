"""An opened price list as its page shows it: the columns with what stands in them, the rows by what becomes of them."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.domain.pricebook import Row, Verdict
from app.domain.pricebook.units_meant import buy_of
from app.domain.units import TRADE_UNITS
from app.services.office import Office
from app.services.price_lists import PriceList

SAMPLE = 3  # cells of a column
MOST_SAFE, MOST_DOUBTFUL, MOST_REFUSED = 400, 200, 200  # rows shown: a page stays usable, and its form is not cut


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnShown:
    """A column: its number, heading, first cells, and what it is taken for."""

    at: int
    heading: str
    cells: Sequence[str]
    key: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """The rows with some verdicts: the first of them, and how many there are."""

    rows: Sequence[Row]
    count: int

    @property
    def more(self) -> int:
        """How many are not shown."""
        return self.count - len(self.rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class ListShown:
    """What the page shows of a list; the parts are empty while it is not tried out."""

    columns: Sequence[ColumnShown]
    safe: Part
    doubtful: Part
    unknown: Part
    refused: Part
    same: int
    passed: int
    addable: int
    suppliers: Sequence[tuple[str, str]]
    roles: Sequence[str]

    @staticmethod
    def unit(buy: str) -> str:
        """A buying unit in words."""
        return TRADE_UNITS[buy].one if buy in TRADE_UNITS else buy


def list_view(office: Office, one: PriceList) -> ListShown:
    """What the page of a list shows."""
    basis = office.basis()
    found = one.run.by_verdict if one.run else dict.fromkeys(Verdict, ())
    safe = sorted(one.run.safe if one.run else (), key=_furthest)
    unknown = found[Verdict.UNKNOWN]
    return ListShown(
        columns=_columns(one),
        safe=Part(rows=safe[:MOST_SAFE], count=len(safe)),
        doubtful=_part(found[Verdict.DOUBTFUL], MOST_DOUBTFUL),
        unknown=_part(unknown, MOST_REFUSED),
        refused=_part(found[Verdict.REFUSED], MOST_REFUSED),
        same=len(found[Verdict.SAME]),
        passed=one.run.passed if one.run else 0,
        addable=sum(1 for row in unknown if buy_of(row.unit)),
        suppliers=[(key, seller.title) for key, seller in basis.suppliers.items()],
        roles=sorted({material.role for material in basis.materials.values()}),
    )


def _part(rows: Sequence[Row], most: int) -> Part:
    return Part(rows=rows[:most], count=len(rows))


def _furthest(row: Row) -> tuple[bool, float, int]:
    """The prices that move furthest first, then the new ones, in the order of the file."""
    moved = row.choices[0].moved
    return moved is None, -abs(moved or 0.0), row.number


def _columns(one: PriceList) -> Sequence[ColumnShown]:
    table, reading = one.table, one.reading
    if table is None or reading is None:
        return ()
    return [
        ColumnShown(at=at, heading=heading, cells=table.column(at)[:SAMPLE], key=key)
        for at, (heading, key) in enumerate(zip(table.headings, reading.columns, strict=False))
    ]
