"""What lies near what, against a reference library's boxes."""

import shapely
from hypothesis import given
from hypothesis import strategies as st

from app.domain.plan.nearby import Box, corners, near_box, nearby

places = st.integers(-40, 40).map(lambda number: number / 4)
sizes = st.integers(0, 40).map(lambda number: number / 4)
boxes = st.builds(lambda x, y, wide, deep: (x, y, x + wide, y + deep), places, places, sizes, sizes)


def meet(one: Box, other: Box, reach: float) -> bool:
    grown = shapely.box(one[0] - reach, one[1] - reach, one[2] + reach, one[3] + reach)
    return bool(shapely.intersects(grown, shapely.box(*other)))


@given(st.lists(boxes, max_size=12), st.lists(sizes, min_size=12, max_size=12))
def test_boxes_within_reach_are_those_that_a_grown_box_meets(row: list[Box], reaches: list[float]) -> None:
    found = nearby(row, reaches[: len(row)])
    for at, (one, reach) in enumerate(zip(row, reaches, strict=False)):
        met = [place for place, other in enumerate(row) if place != at and meet(one, other, reach)]
        assert found[at] == met
        assert [place for place in near_box(one, corners(row), reach) if place != at] == met
