"""Where the early range of the first call comes from: a typical yard priced by the firm's own book, and a wide band."""

from app.domain.costing.early import EarlyRange
from app.domain.takeoff.trace import Trace, number_text

BAND = "price × (1 − down) … price × (1 + up), each to the outer whole thousand"
TYPICAL = "typical recipes of the library, worked out with our own prices and rates"


def explain_early(found: EarlyRange, titles: tuple[str, ...], at: int | None, currency: str) -> Trace:
    """How one band came about, or that of all (`at` None). `titles` name the wishes in their order.

    The result is the price the band lies around, in whole units of the currency.
    """
    if at is None:
        steps = tuple(_typical(title, cents, currency) for title, cents in zip(titles, found.prices, strict=True))
        cents, label = sum(found.prices), "Together: typical price"
    else:
        steps = (_typical(titles[at], found.prices[at], currency),)
        cents, label = found.prices[at], f"{titles[at]}: typical price"
    down, up = -found.apart[0], found.apart[1]
    filled = f"{number_text(cents / 100)} × (1 − {down:g}) … {number_text(cents / 100)} × (1 + {up:g})"
    source = "assumption: how far an estimate without a drawing may be off"
    return Trace(
        label=label, expression=BAND, filled=filled, result=cents / 100, unit=currency, source=source, steps=steps
    )


def _typical(title: str, cents: int, currency: str) -> Trace:
    told = "a typical yard of this kind and size, its share of our own hours and cleaning up in it"
    return Trace(label=title, expression=told, filled="", result=cents / 100, unit=currency, source=TYPICAL)
