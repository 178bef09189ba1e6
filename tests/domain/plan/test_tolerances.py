"""How far tapes are off by length and kind, and what that weighs in the places found."""

from math import hypot

import numpy as np
import pytest

from app.domain.plan.adjusting import Line, adjusted
from app.domain.plan.crossing import TAPE, Sight, fitting_places
from app.domain.plan.tolerances import KINDS, tape_deviation

INCH = 1 / 12


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_tape_is_no_better_the_further_it_is_pulled(kind) -> None:
    found = [tape_deviation(feet, kind) for feet in (5, 30, 31, 60, 100, 200)]
    assert found == sorted(found)
    assert found[0] == found[1] < found[2]


def test_figures_of_each_kind() -> None:
    """1/4 in up to 30 ft for tapes, 1/8 in for a laser; more beyond. Source: common practice, no source."""
    assert [round(12 * tape_deviation(90, kind), 4) for kind in ("steel", "fiber", "laser")] == [0.5, 0.75, 0.25]
    assert tape_deviation(12, "") == tape_deviation(12) == TAPE
    assert tape_deviation(60, "steel", 0.5 * INCH) == pytest.approx(0.625 * INCH)


def test_place_is_the_weighted_mean_of_what_two_tapes_say() -> None:
    """On a line: 10 ft from the left (1/4 in off), 10.1 from the right of 20 (1/2 in off): weights 4 to 1.

    Together 0.1 ft too long; the better tape takes a fifth of it. Source: weighted least squares, by hand.
    """
    lines = [Line(0, 2, 10.0, TAPE), Line(1, 2, 10.1, 2 * TAPE)]
    best = adjusted([(0, 0), (20, 0), (10.1, 0.0)], [True, True, False], lines)
    assert best.places[2][0] == pytest.approx(10.0 - 0.02, abs=1e-6)
    assert best.misfits == pytest.approx((0.02, 0.08), abs=1e-6)
    assert best.squares == pytest.approx((0.02 / TAPE) ** 2 + (0.04 / TAPE) ** 2)


def test_weights_that_are_all_alike_change_no_place() -> None:
    knowns, meant = [(0.0, 0.0), (30.0, 0.0), (0.0, 24.0)], (11.0, 17.0)
    off = (0.01, -0.02, 0.015)
    lengths = [hypot(x - meant[0], y - meant[1]) + more for (x, y), more in zip(knowns, off, strict=True)]

    def found(deviation):
        lines = [Line(at, 3, length, deviation) for at, length in enumerate(lengths)]
        return adjusted([*knowns, meant], [True] * 3 + [False], lines)

    one, other = found(TAPE), found(3 * TAPE)
    assert one.places[3] == pytest.approx(other.places[3], abs=1e-9)
    assert one.deviations[3] * 3 == pytest.approx(other.deviations[3])
    assert one.standardized[0] == pytest.approx(other.standardized[0] * 3)


def test_long_tapes_are_believed_less_where_one_of_three_is_bad() -> None:
    knowns, meant = [(0.0, 0.0), (40.0, 0.0), (0.0, 90.0)], (20.0, 15.0)
    lengths = [hypot(x - meant[0], y - meant[1]) for x, y in knowns]
    lengths[2] += 0.1  # 77 ft away, 1.2 in off
    sights = [Sight(at, length, tape_deviation(length)) for at, length in zip(knowns, lengths, strict=True)]
    flat = [Sight(at, length) for at, length in zip(knowns, lengths, strict=True)]
    weighed, plain = fitting_places(sights), fitting_places(flat)
    assert weighed is not None
    assert plain is not None
    assert weighed.unlikely < plain.unlikely


def test_deviations_tell_the_scatter_of_made_tapes() -> None:
    """400 networks of made tapes, each off by chance as its length says: the place scatters as the deviation says."""
    chance = np.random.default_rng(7)
    knowns, meant = [(0.0, 0.0), (80.0, 0.0), (0.0, 60.0), (90.0, 70.0)], (40.0, 31.0)
    true = [hypot(x - meant[0], y - meant[1]) for x, y in knowns]
    spread = [tape_deviation(length, "fiber") for length in true]
    places = []
    for _ in range(400):
        taped = [length + chance.normal(0, own) for length, own in zip(true, spread, strict=True)]
        lines = [Line(at, 4, length, own) for at, (length, own) in enumerate(zip(taped, spread, strict=True))]
        best = adjusted([*knowns, meant], [True] * 4 + [False], lines)
        places.append(best.places[4])
    worst = np.sqrt(np.linalg.eigvalsh(np.cov(np.array(places).T))[-1])
    assert best.deviations[4] == pytest.approx(worst, rel=0.12)
