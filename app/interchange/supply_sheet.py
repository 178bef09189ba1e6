"""One order as it is printed or sent: who, what in packs, which batch, which day, where. No money, no client's name."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from app.domain.units import format_day


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyLine:
    """A line in words."""

    amount: str
    title: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyPaper:
    """An order in words. `state` says whether it is sent; `waits` that it must not be yet."""

    number: str
    firm: str
    phone: str
    supplier: str
    state: str
    waits: str
    address: str
    deliver_on: date | None
    spot: str
    batch: str
    words: str
    confirmation: str
    promised_on: date | None
    lines: tuple[SupplyLine, ...]

    @property
    def facts(self) -> tuple[tuple[str, str], ...]:
        """What is said of the order as a whole, with its name; nothing of what is not known."""
        rows = (
            ("Deliver to", self.address),
            ("Delivery day", format_day(self.deliver_on) if self.deliver_on else ""),
            ("Put down", self.spot),
            ("Lot or color run", self.batch),
            ("Your confirmation", self.confirmation),
            ("Promised for", format_day(self.promised_on) if self.promised_on else ""),
            ("Please note", self.words),
        )
        return tuple(row for row in rows if row[1])


def supply_text(one: SupplyPaper) -> str:
    """An order as plain text, to paste into a message."""
    return "\n".join(_text_of(one)) + "\n"


def _text_of(one: SupplyPaper) -> Iterator[str]:
    if one.waits:
        yield f"{one.waits}."
    yield f"Order {one.number}, {one.firm}" + (f", {one.phone}" if one.phone else "")
    yield f"To {one.supplier}"
    yield one.state
    yield ""
    for line in one.lines:
        yield "- " + "; ".join((f"{line.amount}  {line.title}", *line.notes))
    yield ""
    for name, words in one.facts:
        yield f"{name}: {words}"
