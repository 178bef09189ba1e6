"""A price list against the price book, tried out: what is new, changed, doubtful, refused. Nothing is changed by it.

Codes are matched first (our key, then the supplier's own code), then the very same name; a near name is only proposed.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from math import isclose
from typing import Any

from app.domain.basis import Price
from app.domain.errors import BadValue
from app.domain.pricebook.book import Book
from app.domain.pricebook.near import Names, plain_name
from app.domain.pricebook.reading import Reading, checked
from app.domain.pricebook.rows import Choice, Read, Row, Verdict, read_line
from app.domain.pricebook.table import Line, Table
from app.domain.pricebook.units_meant import factor, meanings, ours, per_unit
from app.domain.units import TRADE_UNITS, format_price

FLAT = 1e-9  # relative: two figures this near are the same
TOLD_EVERY = 250  # rows between two words of progress
SEVERAL = 4  # row numbers named in a sentence
Told = Callable[[float], None]


@dataclass(frozen=True, kw_only=True)
class DryRun:
    """Every row with its verdict, in the order of the file; `passed` rows held a heading between the others."""

    rows: tuple[Row, ...]
    passed: int = 0

    @cached_property
    def by_verdict(self) -> Mapping[Verdict, tuple[Row, ...]]:
        """The rows by what becomes of them."""
        found: dict[Verdict, list[Row]] = {verdict: [] for verdict in Verdict}
        for row in self.rows:
            found[row.verdict].append(row)
        return {verdict: tuple(rows) for verdict, rows in found.items()}

    @property
    def safe(self) -> tuple[Row, ...]:
        """The rows that may be taken all at once."""
        return tuple(row for row in self.rows if row.safe)


def dry_run(table: Table, reading: Reading, book: Book, told: Told = lambda _share: None) -> DryRun:
    """Try out a price list. `told` hears the share that is done, 0 to 1. Raises: BadValue on what cannot be read so."""
    checked(reading, table)
    trial = _Trial(reading, book)
    rows: list[Row] = []
    passed = 0
    for at, line in enumerate(table.lines):
        if line.filled == 1 and not line.cell(reading.places["unit_price"]):
            passed += 1  # a heading between the rows
        else:
            rows.append(trial.judge(line))
        if at % TOLD_EVERY == 0:
            told(at / len(table.lines))
    return DryRun(rows=tuple(_only_once(rows)), passed=passed)


class _Trial:
    """The book looked up by key, by supplier's code and by name."""

    def __init__(self, reading: Reading, book: Book) -> None:
        self._reading = reading
        self._book = book
        self._names = Names({key: one.title for key, one in book.materials.items()})
        self._suppliers = {plain_name(title): key for key, title in book.suppliers.items()}
        self._codes: dict[tuple[str, str], list[str]] = defaultdict(list)
        for key, price in book.prices.items():
            if price.code and key in book.materials:
                self._codes[price.supplier, price.code.casefold()].append(key)

    def judge(self, line: Line) -> Row:
        """One row with its verdict."""
        try:
            read = read_line(line, self._reading, self._book.currency)
        except BadValue as wrong:
            return self._refused(line, wrong.sentence)
        if not (read.title or read.code or read.material):
            return self._refused(line, "It has neither a name nor a code.")
        supplier, unknown = self._supplier(read)
        found, why = self._matched(read, supplier)
        if read.money is None and not read.is_let:
            priced = [key for key in found if key in self._book.prices]
            if not found or priced:
                return self._refused(line, "It has no price (a formula that was never worked out reads as empty).")
            return self._row(read, Verdict.SAME)
        choices = tuple(choice for key in found if (choice := self._taken(read, supplier, key)))
        row = self._row(read, Verdict.DOUBTFUL, why=why, choices=choices, supplier=unknown)
        if not choices:
            as_read = Price(material="", unit_price=read.money.amount if read.money else Decimal(0))
            price = self._dated(read, None, self._priced(read, supplier, as_read))
            return replace(row, verdict=Verdict.UNKNOWN, price=price)
        return row if why else self._decided(row, read, choices[0])

    def _row(self, read: Read, verdict: Verdict, **more: Any) -> Row:
        words = read.title or read.code or read.material
        return Row(
            number=read.number, title=words, code=read.code, unit=read.unit, role=read.role, verdict=verdict, **more
        )

    def _refused(self, line: Line, sentence: str) -> Row:
        places = self._reading.places
        title, code = (line.cell(places[key]) if key in places else "" for key in ("title", "code"))
        return Row(
            number=line.number, title=title[:80], code=code[:40], unit="", verdict=Verdict.REFUSED, why=(sentence,)
        )

    def _supplier(self, read: Read) -> tuple[str, str]:
        """The supplier's key, and its name where the book does not have it yet."""
        if not read.supplier:
            return self._reading.supplier, self._reading.new_supplier
        known = self._suppliers.get(plain_name(read.supplier), "")
        return (known, "") if known else ("", read.supplier)

    def _matched(self, read: Read, supplier: str) -> tuple[Sequence[str], tuple[str, ...]]:
        """The materials a row may be, and why that is doubtful (nothing: it is sure)."""
        if read.material in self._book.materials:
            return (read.material,), ()
        by_code = self._codes.get((supplier, read.code.casefold()), ()) if read.code else ()
        if len(by_code) == 1:
            return by_code, ()
        if by_code:
            return by_code, (f"The code {read.code} stands beside several materials of the book.",)
        same = self._names.same(read.title)
        if len(same) == 1:
            return same, ()
        if same:
            return same, ("Several materials of the book have this name.",)
        return self._names.near(read.title), ("The book has no such name; these lie near.",)

    def _taken(self, read: Read, supplier: str, key: str) -> Choice | None:
        """A row taken for a material."""
        listed = self._book.materials[key]
        before = self._book.prices.get(key)
        if read.money is None:
            return self._let(read, supplier, key)
        by = factor(read.unit, listed.buy) if read.unit else None
        packed = self._per_pack(read, listed.buy)
        amount = per_unit(read.money.amount, by[0]) if by and by[0] != 1 else read.money.amount
        if by is None and packed:
            amount = per_unit(read.money.amount, 1 / packed)
        blank = replace(self._book.price(key), unit_price=amount)
        price = self._dated(read, before, self._priced(read, supplier, blank))
        apart = _apart(before, price)
        as_is = bool(read.unit) and by is None and not packed
        return Choice(
            material=key, title=listed.title, buy=listed.buy, price=price, apart=apart, before=before, as_is=as_is
        )

    def _let(self, read: Read, supplier: str, key: str) -> Choice | None:
        """A row of rates by the period alone: its price is the rate of the unit the book prices it by, or none."""
        listed, before = self._book.materials[key], self._book.prices.get(key)
        own = {"hour": "hour_cents", "day": "day_cents"}.get(listed.buy)
        if own is None:
            return None
        amount = Decimal(read.fields.get(own, 0)) / 100
        fields = {name: value for name, value in read.fields.items() if name != own}
        blank = replace(self._book.price(key), unit_price=amount)
        price = self._dated(read, before, self._priced(replace(read, fields=fields), supplier, blank))
        apart = _apart(before, price)
        return Choice(material=key, title=listed.title, buy=listed.buy, price=price, apart=apart, before=before)

    def _priced(self, read: Read, supplier: str, price: Price) -> Price:
        """A price with what the row says besides; what it leaves blank stays as it is."""
        day = read.priced_on or self._reading.priced_on
        more = {"supplier": supplier} if supplier else {}
        return replace(price, **{**read.fields, **more, **({"priced_on": day} if day else {})})

    def _dated(self, read: Read, before: Price | None, price: Price) -> Price:
        """A new price is of today where neither row nor list names a day; one that stays keeps its day."""
        if read.priced_on:
            return price
        if before is None or price.unit_price != before.unit_price:
            return price if self._reading.priced_on else replace(price, priced_on=self._book.today)
        return replace(price, priced_on=before.priced_on) if "priced_on" in self._reading.places else price

    def _per_pack(self, read: Read, buy: str) -> Fraction | None:
        """How many of our unit lie in the pack that the file prices; None where it does not price a pack."""
        units = meanings(read.unit) if read.unit else ()
        pack = read.fields.get("pack")
        own = ours(buy)
        is_pack = len(units) == 1 and units[0].dimension == ours("pallet").dimension and units[0].group != own.group
        return Fraction(pack).limit_denominator(10_000) if is_pack and pack and pack > 1 else None

    def _decided(self, row: Row, read: Read, choice: Choice) -> Row:
        """A row whose material is sure: safe, the same, or doubtful for what it says."""
        doubts = tuple(self._doubts(row, read, choice))
        if doubts:
            return replace(row, why=doubts)
        if not choice.apart:
            return replace(row, verdict=Verdict.SAME)
        if choice.before is None:
            return replace(row, verdict=Verdict.NEW) if read.is_let else self._priced_at_all(row, choice)
        return replace(row, verdict=Verdict.CHANGED if "unit_price" in choice.apart else Verdict.DETAILS)

    def _priced_at_all(self, row: Row, choice: Choice) -> Row:
        if not choice.price.unit_price:
            return replace(row, verdict=Verdict.REFUSED, why=("Its price is zero, and nothing is bought for nothing.",))
        return replace(row, verdict=Verdict.NEW)

    def _doubts(self, row: Row, read: Read, choice: Choice) -> list[str]:
        before, price = choice.before, choice.price
        unit = TRADE_UNITS[choice.buy].one if choice.buy in TRADE_UNITS else choice.buy
        found = []
        if choice.as_is:
            said = "not a unit known here" if not meanings(read.unit) else "another measure"
            found.append(f"It is sold by “{read.unit}”, {said}; the book buys it by the {unit}.")
        elif self._per_pack(read, choice.buy):
            found.append(f"It is priced by the {read.unit} of {read.fields['pack']:g}: a price for one is worked out.")
        fell = before and before.unit_price and "unit_price" in choice.apart and not price.unit_price
        if fell and not read.is_let:
            found.append("Its price would fall to zero.")
        elif not fell and choice.moved is not None and abs(choice.moved) > self._book.most_move + FLAT:
            found.append(
                f"Its price would move by {choice.moved:+.0%}, from {self._money(before)} to {self._money(price)}."
            )
        if before and before.supplier and (row.supplier or price.supplier) not in {"", before.supplier}:
            held = self._book.suppliers.get(before.supplier, before.supplier)
            found.append(f"The book has the price of {held}.")
        if before and before.priced_on and price.priced_on and price.priced_on < before.priced_on:
            found.append(f"It is of {price.priced_on}, older than the book's of {before.priced_on}.")
        return found

    def _money(self, price: Price | None) -> str:
        return format_price(price.unit_price, self._book.currency) if price else ""


def _only_once(rows: Sequence[Row]) -> list[Row]:
    """Rows that several of the file have for one material are doubtful together."""
    settled = [row for row in rows if row.choices and (row.safe or row.verdict is Verdict.SAME)]
    changed = {row.choices[0].material for row in settled if row.safe}
    often = {key for key, count in Counter(row.choices[0].material for row in settled).items() if count > 1} & changed
    numbers: dict[str, list[int]] = defaultdict(list)
    for row in rows:
        if row.choices and row.choices[0].material in often:
            numbers[row.choices[0].material].append(row.number)
    return [_beside_others(row, numbers) if row.choices else row for row in rows]


def _beside_others(row: Row, numbers: Mapping[str, Sequence[int]]) -> Row:
    key = row.choices[0].material
    if key not in numbers or row.verdict is Verdict.DOUBTFUL:
        return row
    named = ", ".join(str(number) for number in numbers[key][:SEVERAL]) + (" …" if len(numbers[key]) > SEVERAL else "")
    return replace(row, verdict=Verdict.DOUBTFUL, why=(f"Rows {named} are all for {row.choices[0].title}.",))


def _apart(before: Price | None, after: Price) -> tuple[str, ...]:
    """The fields by which a price differs; all that are filled where there was none."""
    known = before or Price(material=after.material, unit_price=after.unit_price)
    found = tuple(name for name in Price.__slots__ if _differs(getattr(known, name), getattr(after, name)))
    return found if before else ("unit_price", *found)


def _differs(one: Any, other: Any) -> bool:
    if isinstance(one, str) and isinstance(other, str):
        return " ".join(one.split()) != " ".join(other.split())
    if isinstance(one, float) and isinstance(other, float):
        return not isclose(one, other, rel_tol=FLAT, abs_tol=FLAT)
    return bool(one != other)
