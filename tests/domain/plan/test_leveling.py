"""Levels from rod readings, by hand and against made truth."""

import random
from itertools import pairwise
from math import sqrt

import pytest

from app.domain.plan.leveling import CLOSURE, LeveledMark, Rod, Setup, leveled

ONE = Setup(key="1", benchmark="BM", backsight=4.0)
TWO = Setup(key="2", benchmark="TP", backsight=5.0)
BENCHMARK = LeveledMark(key="BM", level=100.0)
TURNING = LeveledMark(key="TP", rods=(Rod("1", 6.0),))


def mark(key: str, *rods: tuple[str, float], level: float | None = None) -> LeveledMark:
    return LeveledMark(key=key, level=level, rods=tuple(Rod(*one) for one in rods))


def test_level_is_benchmark_plus_backsight_less_foresight() -> None:
    found = leveled([BENCHMARK, mark("P", ("1", 5.25))], [ONE])
    assert found.heights == pytest.approx({"1": 104.0})
    assert found.levels["P"].level == pytest.approx(98.75)
    assert found.levels["BM"].typed
    assert found.closure is None
    assert not found.shared


def test_turning_point_carries_the_level_to_the_next_setup() -> None:
    found = leveled([BENCHMARK, TURNING, mark("P", ("2", 2.5))], [ONE, TWO])
    # 100 + 4 - 6 = 98 at the turning point; 98 + 5 - 2.5
    assert found.levels["P"].level == pytest.approx(100.5)
    assert found.heights["2"] == pytest.approx(103.0)


def test_setups_and_marks_in_any_order_give_the_same() -> None:
    marks = [BENCHMARK, TURNING, mark("P", ("2", 2.5), ("1", 3.49)), mark("Q", ("1", 1.0))]
    first = leveled(marks, [ONE, TWO])
    again = leveled(marks[::-1], [TWO, ONE])
    for key, one in first.levels.items():
        assert again.levels[key].level == pytest.approx(one.level)
    assert again.closure == pytest.approx(first.closure)


def test_loop_that_closes_within_the_limit_shares_what_it_misses_by() -> None:
    # out and back: the benchmark is read again from the second setup, 0.02 ft too low
    marks = [mark("BM", ("2", 3.02), level=100.0), TURNING]
    found = leveled(marks, [ONE, TWO])
    assert found.closure == pytest.approx(0.02)
    assert found.limit == pytest.approx(CLOSURE * sqrt(2))
    assert found.closes
    assert found.shared
    assert found.levels["BM"].level == 100.0
    # four readings of one weight between a level and itself: the turning point, in the middle, takes half of it
    assert found.levels["TP"].level == pytest.approx(98.01)


def test_loop_that_does_not_close_shares_nothing_and_says_where() -> None:
    found = leveled([mark("BM", ("2", 3.5), level=100.0), TURNING], [ONE, TWO])
    assert not found.closes
    assert not found.shared
    assert found.worst == "BM"
    assert found.closure == pytest.approx(0.5)
    assert found.levels["TP"].level == 98.0


@pytest.mark.parametrize(("off", "closes"), [(0.0282, True), (0.0284, False)])
def test_closure_limit_is_a_quarter_inch_times_the_root_of_the_setups(off: float, closes: bool) -> None:
    found = leveled([mark("BM", ("2", 3.0 + off), level=100.0), TURNING], [ONE, TWO])
    assert found.closes == closes


def test_mark_read_from_two_setups_says_what_each_gave() -> None:
    marks = [BENCHMARK, TURNING, mark("P", ("1", 3.5), ("2", 2.49))]
    found = leveled(marks, [ONE, TWO])
    assert found.levels["P"].read == pytest.approx({"1": 100.5, "2": 100.51})
    assert found.levels["P"].spread == pytest.approx(0.01)
    assert found.levels["P"].level == pytest.approx(100.505, abs=0.003)


def test_benchmark_read_again_at_the_end_checks_that_the_instrument_stood_still() -> None:
    same = leveled([mark("BM", ("1", 4.0), level=100.0), mark("P", ("1", 5.0))], [ONE])
    assert same.closure is None
    moved = leveled([mark("BM", ("1", 4.1), level=100.0), mark("P", ("1", 5.0))], [ONE])
    assert moved.closure == pytest.approx(0.1)
    assert moved.worst == "BM"


def test_setup_without_backsight_stands_on_a_mark_of_known_level_that_was_read() -> None:
    found = leveled([mark("BM", ("1", 4.0), level=100.0), mark("P", ("1", 5.0))], [Setup(key="1")])
    assert found.levels["P"].level == pytest.approx(99.0)


@pytest.mark.parametrize(
    "setups",
    [[Setup(key="1")], [Setup(key="1", benchmark="BM")], [Setup(key="1", benchmark="gone", backsight=4.0)], []],
)
def test_setup_that_saw_no_known_level_gives_none(setups: list[Setup]) -> None:
    found = leveled([BENCHMARK, mark("P", ("1", 5.0))], setups)
    assert "P" not in found.levels
    assert found.heights == {}


def test_no_level_at_all_gives_none() -> None:
    found = leveled([mark("P", ("1", 5.0)), mark("Q", ("1", 6.0))], [ONE])
    assert found.levels == {}


def test_run_of_setups_with_noise_lies_near_the_truth_and_sharing_makes_it_better() -> None:
    chance = random.Random(4)
    raw_off, shared_off = 0.0, 0.0
    for _ in range(40):
        truth = {f"T{n}": 100 + chance.uniform(-3, 3) for n in range(6)}
        truth["BM"] = 100.0
        order = ["BM", *[f"T{n}" for n in range(6)], "BM"]
        setups, rods = [], {key: [] for key in truth}
        for number, (back, fore) in enumerate(pairwise(order)):
            height = 105 + chance.uniform(-1, 1)
            read = height - truth[back] + chance.gauss(0, 0.004)
            setups.append(Setup(key=str(number), benchmark=back, backsight=read))
            rods[fore].append((str(number), height - truth[fore] + chance.gauss(0, 0.004)))
        marks = [mark(key, *own, level=100.0 if key == "BM" else None) for key, own in rods.items()]
        found = leveled(marks, setups)
        assert found.closes
        for key, level in truth.items():
            first = next(iter(found.levels[key].read.values())) if key != "BM" else 100.0
            raw_off += (first - level) ** 2
            shared_off += (found.levels[key].level - level) ** 2
    assert sqrt(shared_off / 280) < 0.01
    assert shared_off < raw_off
