"""The demo firm's settings and its price book, each saved as one change."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

from app.domain.basis import FirmPage, OverheadItem, Price, Season, Subcontractor, Supplier, YearAhead
from app.domain.change import Edit
from app.domain.codec import from_plain
from app.domain.costing.owned_machine import unit_rate
from app.domain.costing.pay_year import starting_year
from app.domain.machine import OwnedMachine
from app.domain.pay import CrewDay, UnbilledHours
from app.domain.people import CrewMember
from app.interchange.starting_pay import starting_pay
from app.services import book, changes, jobs
from app.services.jobs import Order
from app.services.office import Office
from seed_demo.telling import read_data, today_of

HOURS_OF_A_DAY = 8.0
PERIODS = ("hour", "half_day", "day", "week", "month", "pickup")
PAPER_DAYS = ("license_until", "comp_until", "tax_form_on")  # from today, where they are told
SHARES = ("margin", "contingency", "warranty_reserve", "tax_rate", "overhead_per_hour", "deposit_share")


def set_up_firm(office: Office) -> None:
    """Name, license, rates, terms and notices, as the first-run walk asks for them."""
    told = read_data("firm")
    today = today_of(office)
    told.pop("pay_year")
    told["warranty_by_group"] = {kind: Decimal(share) for kind, share in told["warranty_by_group"].items()}
    told["seasons"] = {month: from_plain(one, Season) for month, one in told["seasons"].items()}
    told["year"] = from_plain(told["year"], YearAhead)
    told["overhead_items"] = tuple(from_plain(one, OverheadItem) for one in told["overhead_items"])
    told["tax_on"] = today - timedelta(days=40)
    told["crew"] = tuple(from_plain(one, CrewMember) for one in told["crew"])
    told["crew_day"] = from_plain(told["crew_day"], CrewDay)
    pages = {
        "terms": _page(told.pop("terms"), today),
        "notices": tuple(_page(one, today) for one in told.pop("notice")),
    }
    shares = {name: Decimal(told.pop(name)) for name in SHARES}
    overhead = {name: Decimal(share) for name, share in told.pop("overhead").items()}
    exclusions = tuple(told.pop("standard_exclusions"))
    firm = replace(office.firm(), **told, **shares, **pages, overhead=overhead, standard_exclusions=exclusions)
    fields = changes.fields_of(firm, "firm")
    was = changes.fields_of(office.firm(), "firm")
    after = {name: value for name, value in fields.items() if value != was[name]}
    edit = Edit(kind="firm", thing_id=office.firm_id, version=1, before={}, after=after)
    jobs.save(office, None, (edit,), Order(change_id=uuid4(), what="The firm"))


def fill_in_wages(office: Office) -> None:
    """A year of pay for each class of the crew, from the usual one, with what this firm's state and policies say."""
    told, usual = read_data("firm")["pay_year"], starting_pay(office.settings.library)
    edits = []
    for key, labor in office.basis().labor_classes.items():
        if not labor.own:
            year = starting_year(labor, usual)
            items = tuple(replace(one, **_item(told["items"].get(one.title, {}))) for one in year.items)
            unbilled = tuple(from_plain(one, UnbilledHours) for one in told["unbilled"])
            hours = {name: Decimal(told[name]) for name in ("paid_hours", "overtime_hours", "paid_to_date")}
            kept = replace(year, items=items, unbilled=unbilled, **hours)
            edits.append(book.edit_of(office, "labor_class", key, 0, {"year": kept}))
    jobs.save(office, None, tuple(edits), Order(change_id=uuid4(), what="What an hour costs"))


def _item(told: Mapping[str, str]) -> dict[str, Any]:
    return {name: value if name in ("base", "source") else Decimal(value) for name, value in told.items()}


def _page(told: Mapping[str, Any], today: date) -> FirmPage:
    return FirmPage(
        title=told["title"],
        text=told["text"].strip(),
        reviewed_by=told["reviewed_by"],
        reviewed_on=today - timedelta(days=told["reviewed_days_ago"]),
    )


def open_the_book(office: Office) -> None:
    """Suppliers and prices."""
    book = read_data("book")
    today = today_of(office)
    suppliers = {
        key: Supplier(
            key=key,
            title=one["title"],
            phone=one.get("phone", ""),
            note=one.get("note", ""),
            order_least_cents=_cents(one.get("order_least")),
            order_fee_cents=_cents(one.get("order_fee")),
            shares_loads=one.get("shares_loads", False),
        )
        for key, one in book["supplier"].items()
    }
    edits = [_made("supplier", key, one) for key, one in suppliers.items()]
    edits += [_made("subcontractor", one.key, one) for one in subcontractors(book, today)]
    edits += [_made("price", one.material, one) for one in prices(book, today)]
    jobs.save(office, None, tuple(edits), Order(change_id=uuid4(), what="The price book"))
    _price_again(office, book["priced_again"])


def subcontractors(book: Mapping[str, Any], today: date) -> Iterator[Subcontractor]:
    """Who does work of a trade for the firm; insurance holds so many days from today."""
    for key, told in book["subcontractor"].items():
        days = {name: told[f"{name}_days"] for name in PAPER_DAYS if f"{name}_days" in told}
        named = {name: value for name, value in told.items() if not name.endswith("_days")}
        until = {name: today + timedelta(days=count) for name, count in days.items()}
        yield Subcontractor(key=key, insured_until=today + timedelta(days=told["insured_for_days"]), **until, **named)


def _price_again(office: Office, told: Mapping[str, str]) -> None:
    """One price that moved since: the newest change of the book is a small one, so undoing it is no great matter."""
    material = told["material"]
    edit = jobs.changed("price", material, 1, {"unit_price": Decimal(told["price"])})
    what = f"Priced again: {office.basis().materials[material].title}"
    jobs.save(office, None, (edit,), Order(change_id=uuid4(), what=what))


def prices(book: Mapping[str, Any], today: date) -> Iterator[Price]:
    """The price book's lines, with what a supplier's lines have in common."""
    for material, told in book["price"].items():
        common = book["supplier"][told["from"]]
        priced_on = today - timedelta(days=common["priced_days_ago"])
        owned = _owned(told.get("owned"))
        yield Price(
            material=material,
            unit_price=unit_rate(owned, told["by"], HOURS_OF_A_DAY) if owned else Decimal(told["price"]),
            owned=owned,
            supplier=told["from"],
            pack=float(told.get("pack", 1)),
            pack_name=told.get("pack_name", ""),
            least=float(told.get("least", 0)),
            batch=told.get("batch", ""),
            priced_on=priced_on,
            valid_until=priced_on + timedelta(days=common["holds_days"]),
            low=common["low"],
            high=common["high"],
            delivery_cents=_cents(told.get("load")),
            note=told.get("note", ""),
            **{f"{period}_cents": _cents(told.get(period)) for period in PERIODS},
            fuel=told.get("fuel", ""),
            fuel_cents=_cents(told.get("fuel_hour")),
            tip_cents=_cents(told.get("tip")),
            tip_per=told.get("tip_per", ""),
            tip_least_cents=_cents(told.get("tip_least")),
            small_below=float(told.get("small_below", 0)),
            small_cents=_cents(told.get("small")),
            pallet=float(told.get("pallet", 0)),
            deposit_cents=_cents(told.get("deposit")),
            deposit_lost=float(told.get("lost", 0)),
            special_order="special" in told,
            special_deposit=Decimal(told.get("special", "0")),
        )


def _owned(told: Mapping[str, Any] | None) -> OwnedMachine | None:
    """A machine of the firm's own: money in dollars, the rest as it stands."""
    if told is None:
        return None
    money = {f"{name}_cents": _cents(told[name]) for name in ("purchase", "salvage", "wear", "list") if name in told}
    others = ("years", "hours_a_year", "fuel_gallons", "fuel_price", "wear_hours")
    return OwnedMachine(**money, **{name: Decimal(told[name]) for name in others if name in told})


def _cents(told: str | None) -> int:
    return int(Decimal(told or "0") * 100)


def _made(kind: str, key: str, value: Any) -> Edit:
    return Edit(kind=kind, thing_id=key, version=0, before=None, after=changes.fields_of(value, kind))
