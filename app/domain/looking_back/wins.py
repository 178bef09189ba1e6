"""What became of those who called and of what was offered, by how they found the firm and by the price offered.

How sure a share is while few are decided: the score interval of E. B. Wilson (Probable inference, the law of
succession, and statistical inference, JASA 22, 1927), at 90 %.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import sqrt

Z = 1.6449  # of a normal, both sides together 10 %
BANDS = (15_000, 30_000, 60_000, 120_000)  # whole money, where a band ends: assumption
NOT_SAID = "not said"
NOT_OFFERED = "nothing offered"


class Outcome(StrEnum):
    """What became of a caller."""

    WON = "won"
    LOST = "lost"
    OPEN = "open"


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One who called: how they found us, what was offered [cents] (None: nothing yet), and what became of it."""

    job_id: str
    number: int
    title: str
    found_us: str
    cents: int | None
    outcome: Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """Those of one source or one price band."""

    key: str
    asked: tuple[Asked, ...]

    def count(self, outcome: Outcome) -> int:
        """How many came out so."""
        return sum(1 for one in self.asked if one.outcome is outcome)

    @property
    def offered(self) -> int:
        """To how many something was offered."""
        return sum(1 for one in self.asked if one.cents is not None)

    @property
    def won(self) -> int:
        """How many signed."""
        return self.count(Outcome.WON)

    @property
    def lost(self) -> int:
        """How many went elsewhere."""
        return self.count(Outcome.LOST)

    @property
    def open(self) -> int:
        """How many are not decided."""
        return self.count(Outcome.OPEN)

    @property
    def won_cents(self) -> int:
        """What those who signed signed for [cents]."""
        return sum(one.cents or 0 for one in self.asked if one.outcome is Outcome.WON)

    @property
    def share(self) -> float | None:
        """Won of decided; None while none is."""
        decided = self.won + self.lost
        return self.won / decided if decided else None

    @property
    def between(self) -> tuple[float, float] | None:
        """Where the share lies, nine times of ten; None while none is decided."""
        return wilson(self.won, self.won + self.lost) if self.won + self.lost else None


def wilson(won: int, decided: int, z: float = Z) -> tuple[float, float]:
    """The score interval of a share.

    >>> low, high = wilson(8, 10, 1.96)
    >>> round(low, 3), round(high, 3)
    (0.49, 0.943)
    """
    share, square = won / decided, z * z / decided
    middle = (share + square / 2) / (1 + square)
    half = z / (1 + square) * sqrt(share * (1 - share) / decided + square / (4 * decided))
    return max(0.0, middle - half), min(1.0, middle + half)


def outcome_of(stage: str, *, signed: bool) -> Outcome:
    """What became of a job: signed is won, whatever came after."""
    if signed or stage in ("signed", "building", "done"):
        return Outcome.WON
    return Outcome.LOST if stage == "lost" else Outcome.OPEN


def by_source(asked: Iterable[Asked]) -> tuple[Tally, ...]:
    """By how they found us, however it was spelled; the most that was signed first, who did not say last."""
    held: dict[str, list[Asked]] = {}
    spelled: dict[str, Counter[str]] = {}
    for one in asked:
        words = " ".join(one.found_us.split())
        held.setdefault(words.casefold(), []).append(one)
        spelled.setdefault(words.casefold(), Counter())[words] += 1
    found = [Tally(key=spelled[key].most_common(1)[0][0] or NOT_SAID, asked=tuple(rows)) for key, rows in held.items()]
    return tuple(sorted(found, key=lambda one: (one.key == NOT_SAID, -one.won_cents, -len(one.asked), one.key)))


def band_of(cents: int | None) -> int:
    """Which band a price lies in, from 0; one after the last: nothing was offered.

    >>> band_of(1_499_999), band_of(1_500_000), band_of(None)
    (0, 1, 5)
    """
    if cents is None:
        return len(BANDS) + 1
    return sum(1 for one in BANDS if cents >= one * 100)


def by_band(asked: Iterable[Asked], told: Callable[[int], str]) -> tuple[Tally, ...]:
    """By the price offered, the lowest first; `told` says a band in words."""
    held: dict[int, list[Asked]] = {}
    for one in asked:
        held.setdefault(band_of(one.cents), []).append(one)
    return tuple(Tally(key=told(band), asked=tuple(rows)) for band, rows in sorted(held.items()))


def in_all(asked: Sequence[Asked]) -> Tally:
    """Everybody."""
    return Tally(key="in all", asked=tuple(asked))
