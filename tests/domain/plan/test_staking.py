"""Stake out: numbers that lead back to the point, whichever way the plan lies."""

from dataclasses import replace
from math import cos, hypot, pi, radians, sin

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.domain.errors import BadValue
from app.domain.plan import circle, from_points, rectangle, segments
from app.domain.plan.arcs import Point
from app.domain.plan.crossing import Sight, crossings
from app.domain.plan.outline import Outline
from app.domain.plan.staking import Drawn, Layout, Spot, lay_out
from app.domain.plan.swinging import Fixed, station, swing_ties

HOUSE = (Fixed("house NW", (0.0, 40.0)), Fixed("house SW", (0.0, 0.0)), Fixed("house SE", (36.0, 0.0)))
EIGHTH = 1 / 8 / 12
PLACES = st.tuples(st.floats(2, 60), st.floats(2, 39))  # the yard: within reach of all three


def drawn(title: str, outline: Outline) -> Drawn:
    return Drawn(title, segments(outline))


def turned(point: Point, angle: float, by: Point) -> Point:
    x, y = point
    return x * cos(angle) - y * sin(angle) + by[0], x * sin(angle) + y * cos(angle) + by[1]


def test_three_four_five_off_a_baseline() -> None:
    found = station((3, 4), (0, 0), (10, 0))
    assert (found.along, found.off) == (3, 4)
    assert station((3, -4), (0, 0), (10, 0)).off == -4
    # along a baseline that runs 3 east on 4 north: geometry
    found = station((3, 4), (0, 0), (6, 8))
    assert (found.along, found.off) == pytest.approx((5, 0))


def test_a_rectangle_has_four_stakes_and_equal_diagonals() -> None:
    layout = lay_out([drawn("Terrace", rectangle(12, 9))])
    assert [one.number for one in layout.stakes] == [1, 2, 3, 4]
    assert layout.stakes[0].of == (("corner", "Terrace"),)
    assert [proof.length for proof in layout.proofs] == [15.0, 15.0]  # 9-12-15
    assert {(proof.from_stake, proof.to_stake) for proof in layout.proofs} == {(1, 3), (2, 4)}


def test_an_l_is_proved_by_the_third_side_of_each_square_corner() -> None:
    ell = from_points([(0, 0), (8, 0), (8, 3), (4, 3), (4, 9), (0, 9)])
    layout = lay_out([drawn("Walk", ell)])
    lengths = sorted(proof.length for proof in layout.proofs)
    # by hand: legs 9 and 8, 8 and 3, 3 and 4, 4 and 6, 6 and 4, 4 and 9
    by_hand = [hypot(9, 8), hypot(8, 3), hypot(3, 4), hypot(4, 6), hypot(6, 4), hypot(4, 9)]
    assert lengths == pytest.approx(sorted(by_hand))


def test_corners_that_coincide_are_one_stake_with_the_level_of_each() -> None:
    upper = replace(drawn("Upper", rectangle(10, 10)), level=lambda _at: 1.0)
    lower = replace(drawn("Lower", rectangle(10, 10, at=(10, EIGHTH / 2))), level=lambda _at: 0.5)
    layout = lay_out([upper, lower])
    assert len(layout.stakes) == 6
    both = next(one for one in layout.stakes if len(one.of) == 2)
    assert both.of == (("corner", "Upper"), ("corner", "Lower"))
    assert both.levels == (("Upper", 1.0), ("Lower", 0.5))


def test_an_arc_is_swung_about_its_center_and_told_by_its_rise() -> None:
    half = from_points([(0, 0), (12, 0)], through={1: (6, 6)})
    curve = lay_out([drawn("Fire ring", half)]).curves[0]
    assert curve.radius == pytest.approx(6)
    assert curve.chord == pytest.approx(12)
    assert curve.rise == pytest.approx(6)  # half a circle rises by its radius
    assert curve.length == pytest.approx(6 * pi)


def test_a_circle_has_its_center_staked() -> None:
    layout = lay_out([drawn("Fire pit", circle(4, at=(20, 10)))])
    centers = [one for one in layout.stakes if ("center of an arc", "Fire pit") in one.of]
    assert [one.at for one in centers] == [pytest.approx((20, 10))]
    assert {curve.center for curve in layout.curves} == {centers[0].number}


def test_ties_cross_near_a_right_angle() -> None:
    ties = swing_ties((18, 18), HOUSE)
    assert ties is not None
    assert {ties.first, ties.second} == {"house SW", "house SE"}
    assert ties.angle == 90.0
    assert not ties.flat


def test_ties_that_cross_flat_are_flagged() -> None:
    ties = swing_ties((0.5, 60), HOUSE[:2])
    assert ties is not None
    assert ties.flat


def test_ties_never_run_where_no_tape_can_be_pulled() -> None:
    spot = Spot("Grill", (18.0, 18.0))
    layout = lay_out([], [spot], fixed=HOUSE, sees=lambda start, _end: start != HOUSE[1].at)
    ties = layout.ties[1]
    assert {ties.first, ties.second} == {"house NW", "house SE"}


def test_no_ties_without_two_fixed_points_in_reach() -> None:
    assert swing_ties((10, 10), HOUSE[:1]) is None
    assert swing_ties((500, 500), HOUSE) is None


def test_a_baseline_of_no_length_is_refused() -> None:
    one = Fixed("P1", (3.0, 3.0))
    with pytest.raises(BadValue, match="P1"):
        lay_out([], baseline=(one, one))


@given(PLACES)
def test_printed_ties_lead_back_to_the_point(at: Point) -> None:
    ties = swing_ties(at, HOUSE)
    assert ties is not None
    where = {one.title: one.at for one in HOUSE}
    lengths = [round(one / EIGHTH) * EIGHTH for one in (ties.first_length, ties.second_length)]
    both = crossings(Sight(where[ties.first], lengths[0]), Sight(where[ties.second], lengths[1]))
    assert both is not None
    found = both[0 if ties.left else 1]
    assume(not ties.flat)
    # each tape is printed within e = 1/16 in: the crossing moves by at most e √(2 + 2 |cos γ|) / sin γ (geometry)
    crossing = radians(ties.angle)
    within = EIGHTH / 2 * (2 + 2 * abs(cos(crossing))) ** 0.5 / sin(crossing) * 1.02
    assert hypot(found[0] - at[0], found[1] - at[1]) <= within


@given(PLACES, st.floats(0, 2 * pi), PLACES)
def test_moving_and_turning_the_plan_changes_no_tie_and_no_station(at: Point, angle: float, by: Point) -> None:
    def told(layout: Layout) -> list[float]:
        (stake,) = layout.stakes
        ties, where = layout.ties[stake.number], layout.stations[stake.number]
        return [ties.first_length, ties.second_length, where.along, where.off, float(ties.left)]

    spot = Spot("Grill", at)
    moved = [Fixed(one.title, turned(one.at, angle, by)) for one in HOUSE]
    here = lay_out([], [spot], fixed=HOUSE, baseline=(HOUSE[1], HOUSE[2]))
    there = lay_out([], [Spot("Grill", turned(at, angle, by))], fixed=moved, baseline=(moved[1], moved[2]))
    assume(abs(_second_best(at) - 1) > 1e-6)  # two pairs of tapes that are as good as each other: either is right
    assert told(there) == pytest.approx(told(here), abs=1e-6)


def _second_best(at: Point) -> float:
    """The best pair of ties over the next: 1 where they are as good."""
    spreads = []
    for place in range(3):
        pair = [one for other, one in enumerate(HOUSE) if other != place]
        if ties := swing_ties(at, pair):
            reach = [1 / 16 / 12 + 5e-5 * one for one in (ties.first_length, ties.second_length)]
            spreads.append(hypot(*reach) / max(sin(radians(ties.angle)), 1e-9))
    best, *others = sorted(spreads)
    return best / others[0] if others else 0.0


@given(st.permutations(HOUSE))
def test_the_order_of_fixed_points_changes_no_tie(order: list[Fixed]) -> None:
    one, other = swing_ties((18, 7), HOUSE), swing_ties((18, 7), order)
    assert one is not None
    assert other is not None
    assert {(one.first, one.first_length), (one.second, one.second_length)} == {
        (other.first, other.first_length),
        (other.second, other.second_length),
    }


def test_stake_of_outlines_that_come_together_within_an_eighth_knows_how_far_they_lie_apart() -> None:
    layout = lay_out([drawn("A", rectangle(10, 10)), drawn("B", rectangle(10, 10, at=(10, EIGHTH / 2)))])
    shared = [one for one in layout.stakes if len(one.of) > 1]
    assert [one.spread for one in shared] == pytest.approx([EIGHTH / 2] * 2)
    assert {one.spread for one in layout.stakes if len(one.of) == 1} == {0.0}
    exact = lay_out([drawn("A", rectangle(10, 10)), drawn("B", rectangle(10, 10, at=(10, 0)))])
    assert {one.spread for one in exact.stakes} == {0.0}
