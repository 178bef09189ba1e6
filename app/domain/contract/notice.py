"""The notice of cancellation that goes with a signature made away from the firm's place of business.

Its words are those of the federal rule (16 CFR 429.1), kept as data; here days, names and the last day are filled in.
"""

from dataclasses import dataclass
from datetime import date

from app.domain.contract.cancelling import Cancelling

NUMBERS = ("", "ONE", "TWO", "THREE", "FOUR", "FIVE", "SIX", "SEVEN", "EIGHT", "NINE", "TEN")
ORDINALS = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wording:
    """The words of the notice, with places for what is filled in."""

    caption: str
    statement: str
    paragraphs: tuple[str, ...]
    hereby: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CancellationNotice:
    """A notice ready to be printed, twice: `signed` and `last` in words, the seller and where to write to."""

    caption: str
    statement: str
    signed: str
    last: str
    paragraphs: tuple[str, ...]
    hereby: str
    source: str


def cancellation_notice(
    wording: Wording, window: Cancelling, *, days: int, seller: str, address: str
) -> CancellationNotice:
    """The notice for what was signed on the first day of a window of so many business days (1 to 10)."""
    last = _in_full(window.last)
    filled = {"{days}": NUMBERS[days], "{ordinal}": ORDINALS[days], "{seller}": seller, "{address}": address}
    filled["{last}"] = last
    return CancellationNotice(
        caption=wording.caption,
        statement=_filled(wording.statement, filled),
        signed=_in_full(window.signed),
        last=last,
        paragraphs=tuple(_filled(words, filled) for words in wording.paragraphs),
        hereby=wording.hereby,
        source=wording.source,
    )


def _filled(words: str, filled: dict[str, str]) -> str:
    """In one pass, so that no name is read as a place."""
    for place, value in filled.items():
        words = words.replace(place, value.replace("{", "(").replace("}", ")"))
    return words


def _in_full(day: date) -> str:
    return f"{day:%A, %B} {day.day}, {day.year}"
