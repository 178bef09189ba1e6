"""What an edit adds in whole steps: counts on both sides, by hand."""

from app.domain.costing.whole_steps import WholeSteps, steps_moved


def whole(cents: int, **count: float) -> WholeSteps:
    kinds = {"days": ("crew days", "p"), "sand": ("loads", "sand"), "stone": ("loads", "stone")}
    return WholeSteps(price_cents=cents, count={kinds[name]: many for name, many in count.items()})


def test_a_day_more_is_told_before_loads_with_what_the_price_moved_by() -> None:
    found = steps_moved(whole(100_00, sand=2, days=5), whole(1_400_00, sand=3, days=6))
    assert found is not None
    assert found.by_cents == 1_300_00
    assert [(one.kind, one.of, one.before, one.after) for one in found.steps] == [
        ("crew days", "p", 5, 6),
        ("loads", "sand", 2, 3),
    ]


def test_what_came_and_what_went_count_from_and_to_none() -> None:
    found = steps_moved(whole(100_00, sand=2), whole(90_00, stone=1))
    assert found is not None
    assert [(one.of, one.by) for one in found.steps] == [("sand", -2), ("stone", 1)]


def test_an_edit_within_the_steps_says_nothing() -> None:
    assert steps_moved(whole(100_00, days=5), whole(180_00, days=5)) is None
    assert steps_moved(whole(100_00, days=5), whole(100_00, days=6)) is None, "no price moved"
