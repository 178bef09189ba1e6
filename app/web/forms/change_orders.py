"""What the forms of change orders may send: why, in words, how many days, how it is paid; and what was found."""

from decimal import Decimal, InvalidOperation

from app.domain.errors import BadValue
from app.domain.job import PAID, REASONS
from app.domain.joblog.delays import half_days_of
from app.web.forms.fields import Field, choice, count, day, keys, money, text, yes

MOST_QUANTITY = Decimal(1_000_000)
FINEST = 4  # decimals


def quantity_of(typed: str) -> Decimal:
    """A quantity as typed, exact to 1/10,000. Raises: BadValue for what is no number above zero.

    >>> quantity_of("2.5"), quantity_of("1,200")
    (Decimal('2.5'), Decimal('1200'))
    """
    try:
        found = Decimal(typed.replace(",", "").strip())
    except InvalidOperation:
        found = Decimal("NaN")
    if not found.is_finite() or not 0 < found <= MOST_QUANTITY or round(found, FINEST) != found:
        raise BadValue(f"“{typed}” is no quantity. Type a number above zero, with four decimals at most: 2.5.")
    return found


CHANGE_DRAFT = (
    choice("reason", "Why", list(REASONS), required=True),
    text("words", "In plain words, for the client", most=2_000),
    Field(name="half_days", label="Days added", reader=lambda typed, _firm: half_days_of(typed), empty=0),
    text("days_words", "What the days are for", most=300),
    yes("with_whole", "Charge the job as a whole too"),
    yes("without_delays", "Leave the days of the log out"),
    choice("pay", "How it is paid", list(PAID), required=True),
    text("pay_event", "When a payment of its own is due", most=200),
    keys("reached", "Payments reached already"),
    count("holds_days", "Days it holds", least=1, most=365, empty=14),
)
FOUND_CONDITION = (
    text("title", "What was found"),
    Field(name="quantity", label="How much", required=True, reader=lambda typed, _firm: quantity_of(typed)),
    text("agreed", "Agreed price", most=40),
    text("unit", "Per", most=60),
    money("cents", "Price of one"),
    text("zone", "Where", most=40),
    day("found_on", "Found on"),
    text("words", "A few words", most=500),
)
