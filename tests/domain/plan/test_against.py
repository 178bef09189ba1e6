"""Outlines put against others: they touch, and meet along the edge that was meant."""

import pytest

from app.domain.errors import BadValue
from app.domain.plan.against import SIDES, put_against
from app.domain.plan.edges import edge_lengths, shared_edges
from app.domain.plan.measures import area, bounds
from app.domain.plan.shapes import circle, rectangle


@pytest.mark.parametrize("side", SIDES)
def test_rectangle_put_against_another_shares_an_edge_of_the_shorter_side(side: str) -> None:
    house, terrace = rectangle(30, 20, at=(4, 7)), rectangle(12, 8)
    put = put_against(terrace, house, side)
    meets = edge_lengths(shared_edges({"T": put}, house=house))
    assert meets["T", "house"][0] == pytest.approx(8 if side in {"left", "right"} else 12)
    assert area(put) == pytest.approx(96)


def test_offsets_move_on_from_the_touching_place() -> None:
    put = put_against(rectangle(12, 8), rectangle(30, 20), "right", right=2, up=-3)
    assert bounds(put) == (32, -3, 44, 5)


def test_circle_touches_with_its_frame() -> None:
    west, _south, _east, _north = bounds(put_against(circle(5), rectangle(10, 10), "right"))
    assert west == pytest.approx(10)


def test_unknown_side_is_refused_in_a_sentence() -> None:
    with pytest.raises(BadValue, match="no side"):
        put_against(rectangle(1, 1), rectangle(1, 1), "beside")
