"""Tests signed by name: what may be signed, how each stands, and what hand-over still waits for."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from app.domain.errors import BadValue, Refused
from app.domain.handover.needed_tests import NeededTest
from app.domain.job import LEFT_OUT, NOT_PASSED, PASSED, SignedTest

MOST_READINGS = 60
LEAST_REASON = 8  # letters: a sentence, not a dot


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedRow:
    """A needed test with all that was signed for it, the newest first."""

    needed: NeededTest
    signed: tuple[SignedTest, ...]

    @property
    def newest(self) -> SignedTest | None:
        """The one that counts."""
        return self.signed[0] if self.signed else None

    @property
    def result(self) -> str:
        """passed, not passed, left out; empty while nobody signed."""
        return self.signed[0].result if self.signed else ""

    @property
    def settled(self) -> bool:
        """Whether hand-over does not wait for it."""
        if self.result == LEFT_OUT:
            return not self.needed.kind.no_way_round
        return self.result == PASSED


def rows_of(needed: Iterable[NeededTest], signed: Iterable[SignedTest]) -> tuple[SignedRow, ...]:
    """Every needed test with what was signed for it."""
    by_key: dict[str, list[SignedTest]] = {}
    for one in sorted(signed, key=_newness, reverse=True):
        by_key.setdefault(f"{one.test}:{one.place}", []).append(one)
    return tuple(SignedRow(needed=one, signed=tuple(by_key.get(one.key, ()))) for one in needed)


def _newness(one: SignedTest) -> tuple[str, str]:
    return str(one.said_at or one.day), str(one.id)


def waiting_for(rows: Iterable[SignedRow]) -> tuple[SignedRow, ...]:
    """What hand-over waits for."""
    return tuple(one for one in rows if not one.settled)


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What somebody signs: readings, or what was seen (`passed`); who, and the license where the trade is licensed."""

    values: tuple[float, ...] = ()
    passed: bool | None = None
    name: str = ""
    license: str = ""
    words: str = ""


def result_of(needed: NeededTest, told: Told) -> str:
    """What comes of it: readings decide, else what was seen.

    Raises: BadValue beside what is missing.
    """
    _refuse_unsigned(needed, told)
    if told.values:
        if len(told.values) > MOST_READINGS:
            raise BadValue(f"{len(told.values)} readings were typed; {MOST_READINGS} fit.", field="values")
        if len(told.values) < needed.readings:
            raise BadValue(
                f"There are {needed.readings} of them, and {_count(told.values)} typed. Type one reading for each, "
                "with commas between.",
                field="values",
            )
        return PASSED if needed.within(told.values) else NOT_PASSED
    if needed.readings and not needed.kind.by_eye:
        raise BadValue("Type what was measured; it decides whether the test is passed.", field="values")
    if told.passed is None:
        raise BadValue("Say whether it passed.", field="passed")
    if needed.readings and len(told.words) < LEAST_REASON:
        raise BadValue("Nothing was measured: say in a few words what was looked at.", field="words")
    return PASSED if told.passed else NOT_PASSED


def _count(values: Sequence[float]) -> str:
    return "one is" if len(values) == 1 else f"{len(values)} are"


def _refuse_unsigned(needed: NeededTest, told: Told) -> None:
    if not told.name:
        trade = needed.kind.trade
        who = f"the {trade} who made it" if trade else "who made it"
        raise BadValue(f"A test is signed by name. Type the name of {who}.", field="name")
    if needed.kind.trade and not told.license:
        raise BadValue(f"This test is for the {needed.kind.trade}. Type the number of their license.", field="license")


def refuse_leaving_out(needed: NeededTest, name: str, reason: str) -> None:
    """Whether the owner may leave a test out. Raises: Refused for gas and line voltage; BadValue without a reason."""
    if needed.kind.no_way_round:
        raise Refused(
            f"“{needed.kind.title}” waits for the {needed.kind.trade}. There is no way round it: nothing is handed "
            "over before."
        )
    if not name:
        raise BadValue("Type who decides that this test is left out.", field="name")
    if len(reason) < LEAST_REASON:
        raise BadValue("Say in a few words why it is left out.", field="words")


def named(row: SignedRow, letters: Mapping[str, str]) -> str:
    """A test in words, with its place."""
    at = letters.get(row.needed.zone, row.needed.zone_letter)
    return " ".join(part for part in (row.needed.kind.title, f"({at})" if at else "") if part)
