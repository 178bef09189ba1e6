"""What the forms of orders may send: day and spot, what the supplier says, what came, what is billed."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from app.domain import units
from app.domain.basis import Firm
from app.domain.errors import BadValue
from app.domain.job import BilledLine, CameLine, SentLine
from app.services.counting import Counted
from app.services.supply_arrivals import Came
from app.web.forms.fields import Field, Parsed, count, day, keys, length, money, text, thing, things, yes

MOST_AMOUNT = 1_000_000  # bought units
NOTE = text("words", "Note", most=300)
PLAN = (
    day("send_by", "Send by"),
    day("deliver_on", "Delivery day"),
    text("spot", "Where it is put down", most=200),
    thing("spot_id", "Place of the plan"),
    length("spot_x", "Right of the datum", signed=True),
    length("spot_y", "Up from it", signed=True),
    text("batch", "Lot or color run", most=120),
    day("price_until", "Price held until"),
    text("words", "To the supplier", most=500),
)
SEND = (keys("materials", "Lines"), day("sent_on", "Sent on"))
CONFIRM = (
    text("confirmation", "Confirmation number", most=60),
    day("confirmed_on", "Confirmed on", required=True),
    day("promised_on", "Promised for"),
)
DEPOSIT = (money("deposit_cents", "Deposit", required=True), day("deposit_on", "Paid on", required=True))
CALL_OFF = (text("called_off_why", "Why", required=True, most=300),)
BACKORDER = (
    text("material", "Line", required=True, most=80),
    day("expected_on", "Expected on"),
    yes("off", "Taken off the order"),
    NOTE,
)


def _price(typed: str, _firm: Firm) -> Decimal:
    return units.parse_price(typed)


SUBSTITUTE = (
    text("material", "Line", required=True, most=80),
    text("title", "What comes instead", required=True, most=120),
    Field(name="unit_price", label="Its unit price", reader=_price),
    NOTE,
)
DECISION = (text("name", "The client's name", most=80), day("day", "Day", required=True))
PALLETS = (count("count", "Pallets", least=1, required=True), day("day", "Day", required=True), NOTE)
SAMPLE = (
    text("name", "The client's name", required=True, most=80),
    day("day", "Signed on", required=True),
    text("words", "Which sample", most=200),
    thing("photo_id", "Picture of it"),
)


def credited(name: str, label: str) -> Field:
    """Money that a bill asks for, or with a minus gives back; an empty one is nothing."""
    return Field(name=name, label=label, reader=lambda typed, _firm: units.parse_money(typed, signed=True), empty=0)


BILL = (
    day("day", "Day of the bill", required=True),
    text("number", "Number of the bill", most=60),
    credited("delivery_cents", "Delivery"),
    credited("charges_cents", "Charges"),
    credited("deposits_cents", "Deposits on pallets"),
    money("paid_ahead_cents", "Paid ahead, taken off", empty=0),
    credited("tax_cents", "Sales tax"),
    replace(credited("total_cents", "Total as printed"), empty=None),
    NOTE,
)


def amount(name: str, label: str, *, least: float = 0.0) -> Field:
    """An amount in the unit a line is bought by; an empty one is nothing."""

    def reader(typed: str, _firm: Firm) -> float:
        plain = typed.replace(",", "").replace("−", "-").strip()
        try:
            found = float(plain)
        except ValueError:
            raise BadValue(f"“{typed}” is no number. Type how many, as 480 or 12.5.") from None
        if not least <= found <= MOST_AMOUNT:
            raise BadValue(f"{typed} was typed; it must lie between {least:,.0f} and {MOST_AMOUNT:,}.")
        return found

    return Field(name=name, label=label, reader=reader, empty=0.0)


def delivery(lines: Sequence[SentLine]) -> tuple[Field, ...]:
    """What came, line by line, by the place of each in the order."""
    counted = [
        one
        for at in range(len(lines))
        for one in (
            amount(f"came-{at}", "Came"),
            amount(f"broken-{at}", "Broken"),
            text(f"batch-{at}", "Batch", most=60),
        )
    ]
    return (
        day("day", "Day", required=True),
        *counted,
        count("pallets", "Pallets", empty=0),
        things("photo_ids", "Pictures"),
        NOTE,
    )


def came_of(parsed: Parsed, lines: Sequence[SentLine]) -> Came:
    """A delivery as a form says it."""
    found = parsed.values
    return Came(
        day=_day(found),
        lines=tuple(
            CameLine(
                material=line.material,
                came=found[f"came-{at}"],
                broken=found[f"broken-{at}"],
                batch=found[f"batch-{at}"],
            )
            for at, line in enumerate(lines)
        ),
        pallets=found["pallets"],
        photo_ids=found.get("photo_ids", ()),
        words=found["words"],
    )


def _day(values: Any) -> date:
    found: date = values["day"]
    return found


def bill(lines: Sequence[SentLine]) -> tuple[Field, ...]:
    """What a bill asks for, line by line, and one more that is not on the order."""
    rows = [
        one
        for at in range(len(lines))
        for one in (amount(f"amount-{at}", "Billed", least=-MOST_AMOUNT), credited(f"billed-{at}", "Amount"))
    ]
    other = (text("other", "Something else on it", most=120), credited("other_cents", "Amount"))
    return (*BILL, *rows, *other)


def billed_of(parsed: Parsed, lines: Sequence[SentLine]) -> tuple[BilledLine, ...]:
    """The lines of a bill as a form says it."""
    found = parsed.values
    rows = tuple(
        BilledLine(material=line.material, amount=found[f"amount-{at}"], cents=found[f"billed-{at}"])
        for at, line in enumerate(lines)
    )
    if not found["other_cents"]:
        return rows
    return (*rows, BilledLine(material=found["other"] or "Something else", amount=1.0, cents=found["other_cents"]))


def left_at_the_end(materials: Sequence[str]) -> tuple[Field, ...]:
    """What is left of each material, what went back and what was bought beside the orders; empty: not counted."""
    rows = [
        replace(amount(f"{name}-{key}", label), empty=None)
        for key in materials
        for name, label in (("left_over", "Left over"), ("returned", "Sent back"), ("beside", "Bought beside"))
    ]
    return (day("day", "Day", required=True), *rows, NOTE)


def counted_of(parsed: Parsed, materials: Sequence[str]) -> dict[str, Counted]:
    """What was counted, by material."""
    names = ("beside", "returned", "left_over")
    return {key: Counted(**{name: parsed.values.get(f"{name}-{key}") for name in names}) for key in materials}
