"""Letting a device in: a code that lives five minutes, two words to compare, and how often may be guessed.

Whoever sees our screen can read the code; who may use it is decided by the person at that screen, who compares two
words and allows. The limits keep guessing hopeless: 25 signs in 8 places are 1.5e11 codes, and five wrong ones burn it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from uuid import UUID

from app.domain.devices import Face
from app.domain.errors import BadValue, OutlayError

ALPHABET = "ACDEFGHJKMNPQRTUVWXY34679"  # without what is taken for something else: 0 O, 1 I L, 2 Z, 5 S, 8 B
LENGTH = 8
LIVES = timedelta(minutes=5)  # the code, and then the wait for the owner's word
WRONG_BURN = 5  # wrong codes while one is open


@dataclass(frozen=True, slots=True)
class Limit:
    """So many wrong tries within so long, and no more."""

    most: int
    within: timedelta


PER_ADDRESS = Limit(10, timedelta(minutes=15))
OVERALL = Limit(30, timedelta(minutes=15))


class Stands(StrEnum):
    """Where a pairing stands."""

    OPEN = "open"  # the code waits to be typed
    ASKED = "asked"  # a device typed it; the owner has yet to allow
    ALLOWED = "allowed"
    REFUSED = "refused"
    BURNED = "burned"  # too many wrong codes
    REPLACED = "replaced"  # another was begun after it


@dataclass(frozen=True, slots=True, kw_only=True)
class Pairing:
    """One device being let in, once."""

    id: UUID
    face: Face
    job_id: UUID | None
    stands: Stands
    began_at: datetime
    asked_at: datetime | None = None
    name: str = ""  # the device's, as typed on it
    address: str = ""  # where it asked from
    wrong: int = 0  # codes tried in vain while it was open


class TooManyTries(OutlayError):
    """Guessing has to wait."""

    status = 429


def code_from(chance: bytes) -> str:
    """The code that these bytes stand for. At least 16 of them, so that no code is likelier than another by 1e-27.

    >>> code_from(bytes(16))
    'AAAAAAAA'
    """
    if len(chance) < 16:
        raise ValueError("a code wants 16 bytes of chance")
    number, signs = int.from_bytes(chance), ""
    for _ in range(LENGTH):
        number, place = divmod(number, len(ALPHABET))
        signs += ALPHABET[place]
    return signs


def shown(code: str) -> str:
    """A code as it is read aloud and typed.

    >>> shown("ACDEFGHJ")
    'ACDE FGHJ'
    """
    return f"{code[:4]} {code[4:]}"


def as_typed(text: str) -> str:
    """A typed code: capitals or not, with spaces or dashes.

    Raises: BadValue for what cannot be one.

    >>> as_typed("acde-fghj")
    'ACDEFGHJ'
    """
    code = "".join(text.upper().replace("-", " ").split())
    if not code:
        raise BadValue("Type the code that stands on the screen of the office.", field="code")
    if len(code) != LENGTH:
        raise BadValue(f"“{text.strip()[:20]}” has {len(code)} signs; a code has {LENGTH}.", field="code")
    strange = [sign for sign in code if sign not in ALPHABET]
    if strange:
        raise BadValue(f"No code has “{strange[0]}” in it: 0 O 1 I L 2 Z 5 S 8 B are never used.", field="code")
    return code


def two_words(chance: bytes, words: Sequence[str]) -> tuple[str, str]:
    """Two different words of the list, as these bytes choose.

    >>> two_words(bytes([0, 0, 0, 0, 0, 0, 0, 1] * 2), ("apple", "barn", "cedar"))
    ('barn', 'apple')
    """
    first = int.from_bytes(chance[:8]) % len(words)
    step = 1 + int.from_bytes(chance[8:16]) % (len(words) - 1)
    return words[first], words[(first + step) % len(words)]


def ends_at(pairing: Pairing) -> datetime:
    """When a pairing is over unless something happens: five minutes for the code, then five for the owner's word."""
    return (pairing.asked_at or pairing.began_at) + LIVES


def is_live(pairing: Pairing, now: datetime) -> bool:
    """Whether it still waits for a code or for the owner. A clock set back before it began ends it, too."""
    return pairing.stands in {Stands.OPEN, Stands.ASKED} and pairing.began_at <= now < ends_at(pairing)


def wait_until(wrong_at: Sequence[datetime], limit: Limit, now: datetime) -> datetime | None:
    """When one may guess again after these wrong tries; None: now.

    >>> from datetime import UTC
    >>> noon = datetime(2027, 3, 9, 12, tzinfo=UTC)
    >>> wait_until([noon, noon], Limit(2, timedelta(minutes=15)), noon).strftime("%H:%M")
    '12:15'
    """
    counted = sorted(one for one in wrong_at if now - one < limit.within)
    return None if len(counted) < limit.most else counted[-limit.most] + limit.within
