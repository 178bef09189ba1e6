"""What is dug for a plant, against worked figures; who lifts it."""

import pytest

from app.domain.trades.planting.holes import hole_for, lifting_words


def test_a_wide_straight_hole_fills_with_what_geometry_says():
    # Source: geometry on the widths of Colorado State University Extension, GardenNotes 633: a ball of 24 in, 16 deep,
    # in a hole of 72 in: π/4 × (6² − 2²) × 16/12 = 33.5 cu ft
    hole = hole_for(24, 16)
    assert (hole.across, hole.deep) == (72, 16)
    assert hole.filled == pytest.approx(33.51, abs=0.01)
    assert hole.over == pytest.approx(3.14159 * 1 * 16 / 12, rel=1e-4)  # what the ball takes the place of


def test_a_saucer_is_a_frustum_and_less_deep_than_its_ball():
    # Source: geometry, h/3 × π (R² + Rr + r²) with R 3 ft, r 1 ft, h 15 in = 17.02 cu ft
    hole = hole_for(24, 16, shallow=1.0, saucer=True)
    assert hole.deep == 15
    assert hole.dug == pytest.approx(17.02, abs=0.01)
    assert hole.dug < hole_for(24, 16, shallow=1.0).dug


@pytest.mark.parametrize(
    ("pounds", "words"),
    [(50, ""), (50.1, "Two people"), (100, "Two people"), (100.1, "cart"), (550, "Nobody stands below")],
)
def test_who_lifts_a_ball_goes_by_its_weight(pounds, words):
    assert words in lifting_words(pounds)
    assert bool(lifting_words(pounds)) == bool(words)
