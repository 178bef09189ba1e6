"""Order lists as spreadsheet rows and as plain text to send: amounts in the words of the trade, no money."""

import csv
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from io import StringIO

from app.domain.job import SentLine
from app.domain.orders import OrderKind, OrderLine, OrderList
from app.domain.takeoff.hiring import hire_words
from app.domain.takeoff.whole import whole_up
from app.domain.units import VOLUME, WEIGHT, System, format_amount, format_day, format_quantity
from app.interchange.cells_out import safe_cell

HEAD = (
    "Phase",
    "Phase title",
    "Starts",
    "List",
    "Supplier",
    "Phone",
    "Material",
    "Order",
    "Unit",
    "Packs",
    "Pack",
    "Loads",
    "Wanted",
    "Kept with the client",
    "One batch",
    "Zones",
    "Lead days",
    "Order by",
    "Not before",
    "Delivery day",
    "Put down",
)
LISTS = {
    OrderKind.MATERIALS: "Materials",
    OrderKind.RENT: "Machines to rent",
    OrderKind.OWN: "Our own machines, to be free",
    OrderKind.SUBCONTRACT: "Trades to book",
    OrderKind.HAULING: "Hauling",
    OrderKind.FEES: "Fees",
    OrderKind.TO_CHOOSE: "Still to choose",
}
NOBODY = "No supplier yet"


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What is said of a list beside its lines: the day before which it is not sent, the delivery day, the spot."""

    not_before: date | None = None
    deliver_on: date | None = None
    spot: str = ""


NOTHING_SAID = Said()


def order_csv(lists: Iterable[OrderList], said: Callable[[OrderList], Said] = lambda _: NOTHING_SAID) -> str:
    """All lines as a table that any spreadsheet opens; a cell that a spreadsheet would run gets an apostrophe."""
    out = StringIO()
    writer = csv.writer(out)
    writer.writerow(HEAD)
    for one in lists:
        for line in one.lines:
            writer.writerow([safe_cell(cell) for cell in _cells(one, line, said(one))])
    return out.getvalue()


def order_text(lists: Sequence[OrderList], title: str, not_before: str = "") -> str:
    """Lists as plain text, one line a material, to paste into a message; first of all, if it must wait, until when."""
    waits = (f"{not_before}.",) if not_before else ()
    return "\n".join((*waits, title, *(words for one in lists for words in _text_of(one)))) + "\n"


def bought_words(line: OrderLine) -> str:
    """What is ordered, packs first: `9 × pallet, 900 in all`, `13 tons`; of a machine the periods: `1 week`."""
    if line.hire:
        return hire_words(line.hire)
    return pack_words(line.packs, line.pack_name, line.bought, line.unit)


def pack_words(packs: int, pack_name: str, amount: float, unit: str) -> str:
    """An amount with its packs first, where it comes in packs with a name; else always with its unit: `12 each`."""
    if pack_name and packs:
        return f"{packs:,} × {pack_name}, {counted(amount, unit)} in all"
    return format_quantity(amount, unit, as_bought=True)


def sent_words(line: SentLine) -> str:
    """What was ordered of a line; of a machine the periods."""
    return (
        line.pack_name
        if not line.packs and line.pack_name
        else pack_words(line.packs, line.pack_name, line.amount, line.unit)
    )


def notes_of(line: OrderLine) -> tuple[str, ...]:
    """What else the supplier must hear, in short."""
    notes = []
    if line.truck:
        loads = line.truck.loads
        notes.append(f"{loads:,} {'load' if loads == 1 else 'loads'} together with {', '.join(line.together)}")
    elif line.loads:
        notes.append(f"{line.loads:,} {'load' if line.loads == 1 else 'loads'}{_in_all(line)}")
    if line.hire:
        notes.append(f"for {counted(line.wanted, line.unit)} of work")
    if line.pallets_back:
        notes.append(f"{line.pallets_back:,} {'pallet goes' if line.pallets_back == 1 else 'pallets go'} back")
    if line.one_batch:
        notes.append("all from one batch")
    if line.kept > 0:
        notes.append(f"of it {counted(_whole_if_counted(line), line.unit)} kept with the client")
    return tuple(notes)


def _in_all(line: OrderLine) -> str:
    """How much the trucks carry of what leaves: by volume and by weight, for whoever sends them."""
    on = line.carried
    if on is None or on.loose is None or on.weight is None or not (on.by_volume and on.by_weight):
        return ""
    return f", {format_amount(on.loose, VOLUME)} loose and {format_amount(on.weight, WEIGHT)} in all"


def counted(amount: float, unit: str, system: System = "feet") -> str:
    """An amount in the unit it is bought by; what is counted is a bare number."""
    return format_quantity(amount, unit, system, as_bought=True).removesuffix(" each")


def _whole_if_counted(line: OrderLine) -> float:
    return float(whole_up(line.kept)) if line.unit == "each" else line.kept


def heading(one: OrderList) -> str:
    """Which phase a list belongs to: `Phase 1 Terrace, starts May 10, 2027`."""
    name = f"Phase {one.phase_number} {one.phase_title}".strip() if one.phase_number else "No phase"
    return f"{name}, starts {format_day(one.start)}" if one.start else f"{name}, no start day yet"


def _text_of(one: OrderList) -> Iterator[str]:
    who = f"{one.supplier_title}, {one.phone}" if one.phone else one.supplier_title
    yield ""
    yield f"{LISTS[one.kind]}: {who or NOBODY}"
    yield heading(one)
    for line in one.lines:
        by = (f"order by {format_day(line.order_by)}",) if line.order_by else ()
        yield "- " + "; ".join((f"{bought_words(line)}  {line.title}", *notes_of(line), *by))


def _cells(one: OrderList, line: OrderLine, said: Said) -> tuple[object, ...]:
    return (
        one.phase_number or "",
        one.phase_title,
        one.start or "",
        LISTS[one.kind],
        one.supplier_title or NOBODY,
        one.phone,
        line.title,
        round(line.bought, 4),
        line.unit,
        "" if line.hire else line.packs,
        hire_words(line.hire) if line.hire else line.pack_name,
        line.loads or "",
        round(line.wanted, 4),
        round(line.kept, 4) or "",
        "yes" if line.one_batch else "",
        " ".join(line.zones),
        line.lead_days or "",
        line.order_by or "",
        said.not_before or "",
        said.deliver_on or "",
        said.spot,
    )
