"""Drip line laid in beds: against lengths counted another way; moved and turned alike; shared flows and valves."""

import numpy as np
import pytest
import shapely

from app.domain.errors import BadValue
from app.domain.plan.measures import turned
from app.domain.plan.outline import chords
from app.domain.plan.shapes import circle, rectangle
from app.domain.trades.planting.drip import INSET, drip_layout, emitters_in, rain_rate, valves_for


def test_rectangle_takes_rows_that_can_be_counted_by_hand():
    # 20 × 10 ft, 4 in kept: 19 ft 4 in by 9 ft 4 in; rows 18 in apart: 7 of 19 ft 4 in, a header over six spacings
    found = drip_layout(rectangle(20, 10), 1.5)
    assert len(found.rows) == 7
    assert found.laid == pytest.approx(7 * (20 - 2 / 3))
    assert found.header == pytest.approx(6 * 1.5)


@pytest.mark.parametrize("outline", [circle(12.0), rectangle(31, 17), rectangle(9, 40)])
@pytest.mark.parametrize("spacing", [0.75, 1.5, 3.0])
def test_rows_are_as_long_as_chords_across_the_room_found_by_sampling(outline, spacing):
    # reference: every row's length counted over points a hundredth of a foot apart that lie in the room
    found = drip_layout(outline, spacing)
    room = chords(outline).polygon.buffer(-INSET, join_style="mitre")
    shapely.prepare(room)
    for start, end in found.rows:
        long = np.hypot(end[0] - start[0], end[1] - start[1])
        way = ((end[0] - start[0]) / long, (end[1] - start[1]) / long)
        along = np.arange(-2, long + 2, 0.01)
        inside = shapely.contains_xy(room, start[0] + way[0] * along, start[1] + way[1] * along)
        assert inside.sum() * 0.01 == pytest.approx(long, abs=0.05)
    assert found.laid * spacing == pytest.approx(room.area, rel=0.12)


def test_turned_and_moved_bed_takes_the_same_line():
    bed = rectangle(31, 17)
    before = drip_layout(bed, 1.5)
    for degrees in (17, 90, 201):
        after = drip_layout(turned(bed, degrees, about=(5.0, -3.0)), 1.5)
        assert after.length == pytest.approx(before.length)
        assert len(after.rows) == len(before.rows)


def test_narrow_bed_takes_one_row_and_openings_part_rows():
    assert len(drip_layout(rectangle(20, 1.2), 1.5).rows) == 1
    assert len(drip_layout(rectangle(20, 0.5), 1.5).rows) == 1
    for spacing in (0.4, 6.0):
        with pytest.raises(BadValue):
            drip_layout(rectangle(20, 10), spacing)


def test_emitters_valves_and_rate():
    assert emitters_in(18.0, 1.5) == 12
    assert emitters_in(17.99, 1.5) == 11
    assert [valves_for(one, 200) for one in (0, 200, 201, 400, 401)] == [1, 1, 2, 2, 3]
    # an inch over 200 sq ft is 200 / 12 cu ft, 7.4805 gal each: 124.7 gal
    assert rain_rate(124.675, 200) == pytest.approx(1.0, rel=1e-3)
