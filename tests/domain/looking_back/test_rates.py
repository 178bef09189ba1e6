"""What finished jobs make of a task: slowing taken out, no job counted twice, one factor for rate and one for set-up."""

from dataclasses import replace
from datetime import date

import pytest

from app.domain.basis import Firm, Task
from app.domain.looking_back.explain_rates import explain_lesson
from app.domain.looking_back.rates import TaskJob, believed_of, lesson, lessons

LAY = Task(key="lay", title="Lay", unit="foot**2", hours=(0.05, 0.07, 0.10), setup=(1.0, 2.0, 3.0))
PLAIN = replace(LAY, key="plain", setup=(0.0, 0.0, 0.0))
TODAY = date(2027, 3, 1)
FIRM = Firm()


def job(hours: float, amount: float = 400.0, places: float = 1.0, number: int = 1, bid: float = 30.0) -> TaskJob:
    return TaskJob(
        job_id=f"id-{number}", number=number, hours=hours, bid_hours=bid, amount=amount, places=places,
        size=amount / places if places else 0.0,
    )  # fmt: skip


def test_one_job_by_hand() -> None:
    """400 sq ft x 0.07 = 28 h expected; 42 logged: 1.5 times. tau = 0.05 / 6 / 0.07 = 0.119, k = (0.25 / 0.119)^2."""
    found = lesson(PLAIN, FIRM, [job(42)], TODAY)
    assert found is not None
    k = (0.25 / (0.05 / 6 / 0.07)) ** 2
    pulled = 1.345 * 0.25 / 0.5  # the job lies two spreads off: it counts less, the more the rate stays behind
    assert found.jobs[0].times == pytest.approx(1.5)
    assert pulled < found.jobs[0].counts < 1
    weight = found.jobs[0].counts / (found.jobs[0].counts + k)
    assert found.moved.rate == pytest.approx(1 + weight * 0.5, abs=1e-4)
    assert found.after.hours[1] == pytest.approx(0.07 * found.moved.rate, rel=1e-3)
    assert found.after.hours[0] / found.after.hours[2] == pytest.approx(0.5, rel=1e-3), "all three by one factor"
    assert found.after.own_jobs == 1
    assert found.after.learned_on == "400*foot**2"
    assert found.after.learned is not None
    assert found.after.learned.job_ids == ("id-1",)
    assert found.after.learned.on == TODAY


def test_jobs_that_count_are_finished_ones_with_hours_and_an_amount() -> None:
    assert lesson(PLAIN, FIRM, [], TODAY) is None
    assert lesson(PLAIN, FIRM, [job(0.0)], TODAY) is None
    assert lesson(PLAIN, FIRM, [job(5.0, amount=0.0)], TODAY) is None
    assert lesson(replace(PLAIN, unit="hour"), FIRM, [job(5.0)], TODAY) is None, "planned hours are no rate"


def test_what_was_taken_is_held_against_what_was_believed_before_it_and_counts_once() -> None:
    held = [job(36 + n, number=n) for n in range(6)]
    first = lesson(PLAIN, FIRM, held, TODAY)
    assert first is not None
    assert not first.taken
    again = lesson(first.after, FIRM, held, TODAY)
    assert again is not None
    assert again.taken
    assert again.after.hours == first.after.hours, "taking it again and again goes nowhere"
    assert believed_of(first.after).hours == PLAIN.hours
    more = lesson(first.after, FIRM, [*held, job(40, number=7)], TODAY)
    assert more is not None
    assert not more.taken
    assert more.after.hours[1] > first.after.hours[1]
    assert more.mark != again.mark


def test_hours_typed_after_that_stand_on_their_own() -> None:
    first = lesson(PLAIN, FIRM, [job(42)], TODAY)
    assert first is not None
    typed = replace(first.after, hours=(0.06, 0.08, 0.12))
    assert believed_of(typed) is typed
    found = lesson(typed, FIRM, [job(42)], TODAY)
    assert found is not None
    assert found.after.learned is not None
    assert found.after.learned.before_hours == (0.06, 0.08, 0.12)


def test_set_up_learns_from_jobs_of_many_small_places() -> None:
    """Truth: 0.07 h a sq ft as believed, set-up twice what is believed; small places are mostly set-up."""
    held = [job(amount * 0.07 + places * 4.0, amount, places, n) for n, (amount, places) in enumerate(
        [(400, 1), (60, 2), (90, 3), (500, 2), (40, 2), (80, 4), (300, 1), (50, 3), (30, 2), (70, 3)]
    )]  # fmt: skip
    found = lesson(LAY, FIRM, held, TODAY)
    assert found is not None
    assert found.moved.setup > 1.3
    assert abs(found.moved.rate - 1) < 0.15 < found.moved.setup - 1
    assert found.moved.setup_weight > found.moved.rate_weight * 0.5


def test_pace_that_prices_changes_with_the_third_job_and_is_shown_so() -> None:
    two, three = (lesson(PLAIN, FIRM, [job(28, number=n) for n in range(count)], TODAY) for count in (2, 3))
    assert two is not None
    assert three is not None
    assert two.priced_before[0] == two.priced_after[0] == pytest.approx(0.05 + 0.05 * 2 / 3)
    assert three.priced_after[0] == pytest.approx(0.07)
    assert three.by < 0


def test_list_begins_with_what_is_not_taken_and_moves_farthest() -> None:
    tasks = {"lay": LAY, "plain": PLAIN}
    found = lessons(
        tasks, FIRM, {"lay": [job(33)], "plain": [job(70, number=n) for n in range(4)], "gone": [job(9)]}, TODAY
    )
    assert [one.task.key for one in found] == ["plain", "lay"]
    again = lessons(
        {**tasks, "plain": found[0].after}, FIRM, {"lay": [job(33)], "plain": [one.job for one in found[0].jobs]}, TODAY
    )
    assert [one.task.key for one in again] == ["lay", "plain"]


def test_figures_are_explained_by_their_own_numbers() -> None:
    found = lesson(LAY, FIRM, [job(40), job(55, number=2)], TODAY)
    assert found is not None
    for what, expected in (
        ("rate", found.after.hours[1]),
        ("setup", found.after.setup[1]),
        ("weight", found.moved.rate_weight * 100),
        ("spread", found.moved.spread * 100),
    ):
        trace = explain_lesson(found, what, lambda told: f"job {told.job.number}")
        assert trace is not None
        assert trace.result == pytest.approx(expected)
    assert explain_lesson(found, "moon", str) is None
