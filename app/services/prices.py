"""The price book: every material with its price, who sells it, who uses it; the missing ones stand out."""

import re
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from itertools import groupby
from typing import Any
from uuid import UUID

from app.domain.basis import Basis, CostClass, Material, Price, Supplier
from app.domain.change import Edit
from app.domain.costing.price_day import is_stale, most_days_of
from app.domain.errors import BadValue, NotFound
from app.domain.takeoff.buying import check_material
from app.domain.takeoff.stocked import plant_material
from app.domain.units import TRADE_UNITS
from app.services import book, jobs
from app.services.book import Own
from app.services.changes import fields_of
from app.services.jobs import Order
from app.services.office import Office

# what a kind of cost is called in the book, in the order the book reads
ORDER: Mapping[CostClass, str] = {
    CostClass.MATERIAL: "materials",
    CostClass.EQUIPMENT: "machines and rented things",
    CostClass.HAULING: "hauling",
    CostClass.SUBCONTRACT: "licensed trades and subcontractors",
    CostClass.FEE: "permits and fees",
    CostClass.ALLOWANCE: "allowances",
    CostClass.LABOR: "labor",
    CostClass.OWN_HOURS: "own hours",
}
READ = tuple(ORDER.values())
MOST_SHOWN = 400  # rows on one page: a book of thousands is found by name
NOT_KEY = re.compile(r"[^a-z0-9]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceRow:
    """A material with its price, or none yet."""

    material: Material
    price: Price | None
    supplier: str
    unit: str
    used_by: tuple[str, ...]
    old: bool
    own: bool  # a material of the firm's own

    @property
    def is_let(self) -> bool:
        """Whether it is a machine let by time."""
        return is_let(self.material)

    @property
    def is_sold(self) -> bool:
        """Whether it is goods that a supplier brings."""
        return self.material.cost_class is CostClass.MATERIAL

    @property
    def is_hauled(self) -> bool:
        """Whether it leaves the lot by the truck."""
        return self.material.cost_class is CostClass.HAULING


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceBook:
    """The rows that were asked for, in groups; how many there are, how many have no price."""

    groups: tuple[tuple[str, tuple[PriceRow, ...]], ...]
    more: int  # rows that were asked for and are not shown: too many for one page
    suppliers: Mapping[str, Supplier]
    roles: tuple[str, ...]
    count: int
    missing: int
    old: int
    own: Own


def is_let(material: Material) -> bool:
    """Whether a material is a machine that is priced by time."""
    return material.cost_class is CostClass.EQUIPMENT and material.buy in ("hour", "day")


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """A job that waits for prices: who it is for, the sheet that told so, and the materials, by key."""

    job_id: UUID
    who: str
    sheet: str
    materials: frozenset[str]


def price_book(
    office: Office,
    *,
    search: str = "",
    show: str = "",
    by: str = "role",
    focus: str = "",
    waiting: Waiting | None = None,
) -> PriceBook:
    """The price book: `show` is missing, old, own or empty for all; `by` is role or supplier.

    `waiting` keeps to the materials a job waits for. Of very many rows those that recipes use are shown first, and
    always the one of `focus`.
    """
    basis = office.basis()
    versions = book.own(office, "price", "material", "supplier")
    rows = _rows(basis, versions, today_of(office))
    found = [row for row in rows if _is_shown(row, show) and _is_found(row, search.casefold())]
    if waiting:
        found = [row for row in found if row.material.key in waiting.materials]
    kept = sorted(found, key=lambda row: (row.material.key != focus, not row.used_by))[:MOST_SHOWN]

    def place(row: PriceRow) -> str:
        """The group a row stands in."""
        return row.supplier if by == "supplier" else ORDER[row.material.cost_class]

    kept.sort(key=lambda row: (row.material.role, row.material.title))
    kept.sort(key=place if by == "supplier" else lambda row: READ.index(place(row)))
    return PriceBook(
        groups=tuple((name, tuple(group)) for name, group in groupby(kept, place)),
        more=len(found) - len(kept),
        suppliers=basis.suppliers,
        roles=tuple(sorted({one.role for one in basis.materials.values()})),
        count=len(rows),
        missing=sum(row.price is None for row in rows),
        old=sum(row.old for row in rows),
        own=versions,
    )


def price_row(office: Office, key: str) -> tuple[PriceRow, Own]:
    """One row. Raises: NotFound."""
    versions = book.own(office, "price", "material", "supplier")
    found = next((one for one in _rows(office.basis(), versions, today_of(office)) if one.material.key == key), None)
    if found is None:
        raise NotFound("The price book has no such material (any more).")
    return found, versions


def _rows(basis: Basis, versions: Own, today: date) -> list[PriceRow]:
    users, most_days = _users(basis), most_days_of(basis)
    rows = []
    for key, material in basis.materials.items():
        price = basis.prices.get(key)
        seller = basis.suppliers.get(price.supplier) if price else None
        unit = TRADE_UNITS.get(material.buy)
        rows.append(
            PriceRow(
                material=material,
                price=price,
                supplier=seller.title if seller else "",
                unit=unit.one if unit else material.buy,
                used_by=users.get(key, ()),
                old=bool(price and is_stale(price, today, most_days)),
                own=bool(versions.version("material", key)),
            )
        )
    return rows


def _users(basis: Basis) -> Mapping[str, tuple[str, ...]]:
    """Which recipes name a material, by its key."""
    users: dict[str, list[str]] = defaultdict(list)
    for assembly in basis.assemblies.values():
        for key in {part.material for part in assembly.parts if part.material}:
            users[key].append(assembly.title)
    return {key: tuple(sorted(titles)) for key, titles in users.items()}


def _is_shown(row: PriceRow, show: str) -> bool:
    return {"missing": row.price is None, "old": row.old, "own": row.own}.get(show, True)


def _is_found(row: PriceRow, words: str) -> bool:
    one = row.material
    code = row.price.code if row.price else ""
    text = f"{one.title} {one.role} {ORDER[one.cost_class]} {row.supplier} {one.key} {code}".casefold()
    return all(word in text for word in words.split())


def today_of(office: Office) -> date:
    """Today where the firm is."""
    return office.today()


def set_price(office: Office, key: str, version: int, fields: Mapping[str, Any], order: Order) -> None:
    """A price of a material as typed; it is dated today unless the form says otherwise.

    Raises: NotFound for an unknown material; BadValue for a supplier that is not in the book.
    """
    basis = office.basis()
    known_material = basis.materials.get(key)
    material = known_material or plant_material(basis, key)  # a plant of a list, priced by its size until now
    if material is None:
        raise NotFound("The price book has no such material (any more).")
    if fields.get("supplier") and fields["supplier"] not in basis.suppliers:
        raise BadValue("Choose a supplier of the list, or add one below first.", field="supplier")
    _fuel_once(fields)
    known = basis.prices.get(key)
    if known and known.owned and fields.get("unit_price", known.unit_price) != known.unit_price:
        fields = {**fields, "owned": None}  # a price typed over it is not the worksheet's any more
    dated = {"priced_on": today_of(office), **fields} if "unit_price" in fields else fields
    new = Price(material=key, unit_price=Decimal(0))
    edit = book.edit_of(office, "price", key, version, dated, new=basis.prices.get(key, new))
    listed = () if known_material else (_made("material", key, material),)
    jobs.save(office, None, (*listed, edit), replace(order, what=f"Price: {material.title}"[:60]))


def _fuel_once(fields: Mapping[str, Any]) -> None:
    """Refuse fuel that would be paid twice, by the rate and by the hour. Raises: BadValue."""
    if fields.get("fuel_cents") and fields.get("fuel") in ("in the rate", "none"):
        raise BadValue("The fuel is not ours then: leave its price empty, or say that it is ours.", field="fuel_cents")


def add_supplier(office: Office, fields: Mapping[str, Any], order: Order) -> None:
    """A new supplier."""
    key = free_key(fields["title"], office.basis().suppliers)
    value = Supplier(**{**fields, "key": key})
    book.make(office, "supplier", key, value, replace(order, what=f"Supplier: {value.title}"[:60]))


def add_material(office: Office, fields: Mapping[str, Any], unit_price: Decimal | None, order: Order) -> str:
    """A material of the firm's own, with its price where it is known; returns its key.

    Raises: BadValue with everything that keeps it from being bought.
    """
    key = free_key(fields["title"], office.basis().materials)
    material = Material(**{"source": "the firm's own", **fields, "key": key})
    sound(material)
    edits = [_made("material", key, material)]
    if unit_price is not None:
        edits.append(_made("price", key, Price(material=key, unit_price=unit_price, priced_on=today_of(office))))
    jobs.save(office, None, tuple(edits), replace(order, what=f"New: {material.title}"[:60]))
    return key


def _made(kind: str, key: str, value: object) -> Edit:
    return Edit(kind=kind, thing_id=key, version=0, before=None, after=fields_of(value, kind))


def sound(material: Material) -> None:
    """Refuse a material that cannot be bought. Raises: BadValue with every sentence."""
    found = check_material(material)
    if found:
        raise BadValue(" ".join(one.what for one in found))


def free_key(title: str, taken: Mapping[str, object]) -> str:
    """A key made of a title that nothing has yet.

    >>> free_key("River stone, 2 in", {"river-stone-2-in": 1})
    'river-stone-2-in-2'
    """
    base = NOT_KEY.sub("-", title.lower()).strip("-")[:60] or "own"
    keys = (base, *(f"{base}-{n}" for n in range(2, 1000)))
    return next(key for key in keys if key not in taken)
