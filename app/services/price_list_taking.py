"""Rows of a price list taken into the price book: one change for all of them, undone in one step."""

import asyncio
from collections import ChainMap
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from app.db.repositories import things
from app.domain.basis import Material, Price, Supplier
from app.domain.change import Edit
from app.domain.errors import BadValue, OutlayError, Refused
from app.domain.pricebook import Choice, Row, Verdict
from app.domain.pricebook.units_meant import buy_of, per_unit
from app.services import jobs
from app.services.changes import fields_of
from app.services.jobs import Order, changed
from app.services.large_changes import save_in_pieces
from app.services.office import Office
from app.services.price_lists import PriceList, list_at_hand, seen_now
from app.services.prices import free_key, sound

SAVING = "Saving the prices"


@dataclass(frozen=True, slots=True, kw_only=True)
class Picks:
    """What the person said about the rows: the page they saw, whether the safe ones are taken, and which besides.

    `doubtful` names a material for a row, `left_out` are safe rows that stay out; with `role`, what the book lacks is
    added as materials of the firm's own for that role.
    """

    seen: str
    safe: bool = True
    doubtful: Mapping[int, str]
    left_out: Collection[int] = ()
    add: bool = False
    role: str = ""


def begin_taking(office: Office, list_id: str, picks: Picks, order: Order) -> bool:
    """Begin to take rows of a list into the book: one change, worked out in pieces while the list says how far it is.

    Returns whether it was saved already.

    Raises: Refused where the list or the book is another than was seen; BadValue where nothing, or one material twice,
    was chosen.
    """
    if jobs.is_saved(office, order.change_id):
        return True
    one = list_at_hand(office, list_id)
    if one.run is None or one.busy or not picks.seen == one.seen == seen_now(office, one):
        raise Refused("The price book or the reading has changed since this page was made. Look at it again.")
    taken = list(_taken(one.run.rows, picks))
    _once_each(taken)
    added = [row for row in one.run.by_verdict[Verdict.UNKNOWN] if picks.add and buy_of(row.unit)]
    if not taken and not added:
        raise BadValue("No row was chosen. Take the safe ones, or choose for one of the others.")
    order = replace(order, what=f"Prices from {one.name}"[:80])
    made = _Making(office, picks.role, one.name)
    one.share, one.words, one.not_saved = 0.0, SAVING, None
    saving = _save(office, one, order, made.edits(taken, added), len(taken) + 2 * len(added))
    one.work = asyncio.get_running_loop().create_task(saving)
    return False


async def _save(office: Office, one: PriceList, order: Order, edits: Iterator[Edit], count: int) -> None:
    def heard(done: int) -> None:
        one.share = done / (count + 1)
        one.words = f"{SAVING}: {min(done, count):,} of {count:,}"

    try:
        await save_in_pieces(office, edits, order, heard)
    except OutlayError as wrong:
        one.not_saved = wrong
    else:
        one.saved_as = order.change_id


def _taken(rows: Collection[Row], picks: Picks) -> Iterator[tuple[Row, Choice]]:
    for row in rows:
        if row.safe and picks.safe and row.number not in picks.left_out:
            yield row, row.choices[0]
        elif row.verdict is Verdict.DOUBTFUL and row.number in picks.doubtful:
            named = picks.doubtful[row.number]
            yield from ((row, choice) for choice in row.choices if choice.material == named)


def _once_each(taken: Collection[tuple[Row, Choice]]) -> None:
    rows: dict[str, int] = {}
    for row, choice in taken:
        if choice.material in rows:
            first = rows[choice.material]
            raise BadValue(f"Rows {first} and {row.number} were both taken for {choice.title}. Take one of them.")
        rows[choice.material] = row.number


class _Making:
    """Makes the edits of one import; a supplier that the book lacks is made once."""

    def __init__(self, office: Office, role: str, name: str) -> None:
        with office.database.read() as connection:
            self._versions = things.versions(connection, office.firm_id, "price")
        basis = office.basis()
        self._known = ChainMap[str, Any]({}, dict(basis.materials))
        self._suppliers = basis.suppliers
        self._role = role
        self._source = f"the firm's own, from {name}"
        self._new_suppliers: dict[str, Supplier] = {}

    def edits(self, taken: Collection[tuple[Row, Choice]], added: Collection[Row]) -> Iterator[Edit]:
        """All edits, one after the other; those that make the suppliers the book lacked come last."""
        for row, choice in taken:
            yield self._price(row, choice)
        for row in added:
            yield from self._material(row)
        yield from (_new("supplier", one.key, one) for one in self._new_suppliers.values())

    def _price(self, row: Row, choice: Choice) -> Edit:
        """The edit that sets a price, as it was seen."""
        seller = self._supplier(row.supplier)
        price = replace(choice.price, supplier=seller) if seller else choice.price
        version = self._versions.get(choice.material, 0)
        if not version:
            return _new("price", choice.material, price)
        names = {*choice.apart, *(("supplier",) if seller else ())}
        return changed("price", choice.material, version, {name: getattr(price, name) for name in sorted(names)})

    def _material(self, row: Row) -> tuple[Edit, Edit]:
        """The edits that make a material of the firm's own, with its price."""
        buy, by = buy_of(row.unit) or ("each", Fraction(1))
        assert row.price is not None
        key = free_key(row.title, self._known)
        role = self._role or row.role or "finish"
        material = Material(key=key, title=row.title, role=role, buy=buy, source=self._source)
        sound(material)
        self._known[key] = material
        seller = self._supplier(row.supplier) or row.price.supplier
        price = replace(row.price, material=key, supplier=seller, unit_price=per_unit(row.price.unit_price, by))
        return _new("material", key, material), _new("price", key, price)

    def _supplier(self, title: str) -> str:
        """The key of a supplier that the book lacks; empty where the row names none."""
        if title and title not in self._new_suppliers:
            taken = {**self._suppliers, **{one.key: one for one in self._new_suppliers.values()}}
            self._new_suppliers[title] = Supplier(key=free_key(title, taken), title=title)
        return self._new_suppliers[title].key if title else ""


def _new(kind: str, key: str, value: Price | Material | Supplier) -> Edit:
    return Edit(kind=kind, thing_id=key, version=0, before=None, after=fields_of(value, kind))
