"""Delays summed by cause, what a change order may ask for, and what tells nothing."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest

from app.domain.errors import BadValue
from app.domain.job import RESULTS, LoggedDelay, LoggedReceipt, LoggedVisit, LoggedWeather
from app.domain.joblog.delays import WHOSE, days_text, days_to_ask_for, delay_sums, half_days_of
from app.domain.joblog.happenings import NOT_PASSED, explain_receipts, not_passed, receipts_of, refuse_senseless, spent
from app.interchange.log_lists import log_lists

LISTS = log_lists()
DAY = date(2027, 5, 3)


def delay(cause: str, half_days: int, day: int = 3, whose: str = "", quarters: int = 0) -> LoggedDelay:
    whose = whose or LISTS.cause(cause).whose
    on = date(2027, 5, day)
    return LoggedDelay(id=uuid4(), day=on, cause=cause, whose=whose, half_days=half_days, quarters=quarters)


def receipt(cents: int, zone: str = "job", day: int = 3) -> LoggedReceipt:
    return LoggedReceipt(id=uuid4(), day=date(2027, 5, day), cents=cents, zone=zone)


def test_rain_of_two_days_and_a_half_is_asked_for_and_a_broken_machine_is_not() -> None:
    """By hand: 1 + 1 1/2 days of rain, half a day of a machine: 2 1/2 days to ask for."""
    delays = [delay("machine", 1), delay("weather", 2), delay("weather", 3, day=4, quarters=6)]
    sums = delay_sums(delays, LISTS.causes)
    assert [(one.cause.key, one.days, one.hours) for one in sums] == [
        ("weather", Decimal("2.5"), 1.5),
        ("machine", Decimal("0.5"), 0.0),
    ]
    assert [(one.cause.key, one.days) for one in days_to_ask_for(delays, LISTS.causes)] == [("weather", Decimal("2.5"))]
    assert [one.days for one in days_to_ask_for(delays, LISTS.causes, since=DAY)] == [Decimal("1.5")]


def test_delay_of_ours_is_asked_of_nobody_whatever_its_cause() -> None:
    delays = [delay("official", 2, whose="firm"), delay("official", 4)]
    assert [one.days for one in days_to_ask_for(delays, LISTS.causes)] == [Decimal(2)]


def test_hours_waited_alone_are_no_days() -> None:
    assert days_to_ask_for([delay("weather", 0, quarters=12)], LISTS.causes) == ()


def test_cause_that_is_listed_no_more_is_shown_and_not_asked_for() -> None:
    [one] = delay_sums([delay("landslide", 2)], LISTS.causes)
    assert (one.cause.title, one.days, one.asked) == ("landslide", Decimal(1), False)


@pytest.mark.parametrize(("typed", "halves"), [("1", 2), ("0.5", 1), ("1 1/2", 3), ("½", 1), ("2½", 5), ("0", 0)])
def test_days_are_read_in_halves(typed: str, halves: int) -> None:
    assert half_days_of(typed) == halves
    assert half_days_of(days_text(halves)) == halves


@pytest.mark.parametrize("typed", ["x", "-1", "0.3", "61", "nan", "1e9", ""])
def test_what_is_no_days_is_refused(typed: str) -> None:
    with pytest.raises(BadValue, match="no number of days"):
        half_days_of(typed)


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        (LoggedWeather(id=uuid4(), day=DAY), "sky"),
        (LoggedWeather(id=uuid4(), day=DAY, sky="frogs"), "sky"),
        (LoggedWeather(id=uuid4(), day=DAY, degrees=200), "degrees"),
        (LoggedDelay(id=uuid4(), day=DAY, cause="frogs", whose="firm", half_days=1), "cause"),
        (LoggedDelay(id=uuid4(), day=DAY, cause="crew", whose="cat", half_days=1), "whose"),
        (LoggedDelay(id=uuid4(), day=DAY, cause="crew", whose="firm"), "half_days"),
        (LoggedVisit(id=uuid4(), day=DAY, who="Inspector", inspection=True, what="Footing"), "result"),
        (LoggedVisit(id=uuid4(), day=DAY, who="Inspector", inspection=True, result="passed"), "what"),
        (LoggedReceipt(id=uuid4(), day=DAY, cents=0), "amount"),
    ],
    ids=["no weather", "frogs", "heat", "no cause", "nobody", "no time", "no result", "nothing", "no money"],
)  # fmt: skip
def test_what_tells_nothing_is_refused_beside_its_field(wrong, field: str) -> None:
    with pytest.raises(BadValue) as refused:
        refuse_senseless(wrong, LISTS)
    assert refused.value.field == field


def test_what_tells_something_is_taken() -> None:
    for one in (
        LoggedWeather(id=uuid4(), day=DAY, degrees=-20),
        delay("crew", 0, quarters=1),
        LoggedVisit(id=uuid4(), day=DAY, who="Joss Whitlock"),
        receipt(1),
    ):
        refuse_senseless(one, LISTS)


def test_inspection_stands_as_not_passed_until_it_passes() -> None:
    def inspected(what: str, result: str, day: int) -> LoggedVisit:
        return LoggedVisit(
            id=uuid4(), day=date(2027, 5, day), who="Town inspector", what=what, inspection=True, result=result
        )

    first, gas = inspected("Footing", "not passed", 3), inspected("Gas line", "not passed", 3)
    assert set(not_passed([gas, first])) == {gas, first}
    assert not_passed([inspected("footing ", "passed", 5), first, gas]) == (gas,)
    assert not_passed([inspected("Footing", "passed", 3), inspected("Footing", "not passed", 4)]) != ()
    assert not_passed([LoggedVisit(id=uuid4(), day=DAY, who="Joss", what="Footing")]) == ()
    assert NOT_PASSED in RESULTS


def test_receipts_add_up_by_zone_to_the_cent() -> None:
    held = [receipt(1999, "a", 4), receipt(350), receipt(1, "a", 3)]
    assert [one.cents for one in receipts_of(held, "a")] == [1, 1999]
    assert spent(held) == sum(spent(receipts_of(held, zone)) for zone in ("a", "job")) == 2350
    assert explain_receipts(held, "USD").result == 23.5


def test_lists_name_each_thing_once_and_whose_is_known() -> None:
    for rows in (LISTS.skies, LISTS.causes):
        assert len({one.key for one in rows}) == len(rows)
    assert {cause.whose for cause in LISTS.causes} <= WHOSE.keys()
    assert not any(cause.asked for cause in LISTS.causes if cause.whose == "firm")
