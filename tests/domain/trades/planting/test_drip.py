"""Drip line laid in beds: against lengths counted another way; moved and turned alike; shared flows and valves."""

import numpy as np
import pytest
import shapely

from app.domain.errors import BadValue
from app.domain.plan.measures import turned
from app.domain.plan.outline import Outline, chords
from app.domain.plan.shapes import circle, rectangle
from app.domain.trades.planting.drip import (
    AROUND,
    INSET,
    DripLayout,
    drip_layout,
    emitters_on,
    minutes_for,
    rain_rate,
    valves_for,
)


def test_rectangle_takes_rows_that_can_be_counted_by_hand():
    # 20 × 10 ft, 4 in kept: 19 ft 4 in by 9 ft 4 in; rows 18 in apart: 7 of 19 ft 4 in, a header over six spacings
    found = drip_layout(rectangle(20, 10), 1.5)
    assert len(found.lines) == 7
    assert found.laid == pytest.approx(7 * (20 - 2 / 3))
    assert found.header == pytest.approx(6 * 1.5)


@pytest.mark.parametrize("outline", [circle(12.0), rectangle(31, 17), rectangle(9, 40)])
@pytest.mark.parametrize("spacing", [0.75, 1.5, 3.0])
def test_rows_are_as_long_as_chords_across_the_room_found_by_sampling(outline, spacing):
    # reference: every row's length counted over points a hundredth of a foot apart that lie in the room
    found = drip_layout(outline, spacing)
    room = chords(outline).polygon.buffer(-INSET, join_style="mitre")
    shapely.prepare(room)
    for start, end in found.lines:
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
        assert len(after.lines) == len(before.lines)


def test_narrow_bed_takes_one_row_and_openings_part_rows():
    assert len(drip_layout(rectangle(20, 1.2), 1.5).lines) == 1
    assert len(drip_layout(rectangle(20, 0.5), 1.5).lines) == 1
    for spacing in (0.4, 6.0):
        with pytest.raises(BadValue):
            drip_layout(rectangle(20, 10), spacing)


def test_emitters_valves_and_rate():
    for long, count in ((18.0, 12), (17.2, 11), (17.26, 12), (0.7, 0), (0.75, 1)):
        assert len(emitters_on(DripLayout((((0, 0), (long, 0)),), ()), 1.5)) == count, long
    assert [valves_for(one, 200) for one in (0, 200, 201, 400, 401)] == [1, 1, 2, 2, 3]
    # an inch over 200 sq ft is 200 / 12 cu ft, 7.4805 gal each: 124.7 gal
    assert rain_rate(124.675, 200) == pytest.approx(1.0, rel=1e-3)
    # 0.18 in at 0.43 in an hour: 25 min (arithmetic)
    assert minutes_for(0.18, 0.43) == pytest.approx(25.1, abs=0.05)
    assert minutes_for(0.18, 0.0) == 0.0


def test_rectangle_takes_lines_around_that_can_be_counted_by_hand():
    # 20 × 10 ft, 4 in kept, lines 18 in apart: three rectangles that grow smaller by 3 ft each way; the fourth would be
    # 4 in wide, so one side of it is laid, 10 ft 8 in; each is joined to the next by 18 in
    found = drip_layout(rectangle(20, 10), 1.5, AROUND)
    sides = [(20 - 2 / 3 - 3 * at, 10 - 2 / 3 - 3 * at) for at in range(3)]
    longs = [2 * (long + wide) for long, wide in sides] + [10 + 2 / 3]
    assert found.laid == pytest.approx(sum(longs))
    assert found.header == pytest.approx(3 * 1.5)
    assert len(emitters_on(found, 1.5)) == sum(int(long / 1.5 + 0.5) for long in longs)


HOLED = Outline("CURVEPOLYGON ((0 0, 30 0, 30 18, 12 18, 12 30, 0 30, 0 0), (4 4, 4 8, 8 8, 8 4, 4 4))")


@pytest.mark.parametrize("outline", [circle(12.0), rectangle(31, 17), HOLED, rectangle(20, 2.4), rectangle(20, 0.5)])
@pytest.mark.parametrize("spacing", [0.75, 1.5, 3.0])
def test_lines_around_lie_in_the_bed_leave_no_ground_far_and_carry_their_emitters(outline, spacing):
    # reference: points sampled over the bed, and shapely's distances from the lines as they come back
    found = drip_layout(outline, spacing, AROUND)
    bed = chords(outline).polygon
    lines = shapely.multilinestrings([shapely.linestrings(line) for line in found.lines])
    inside = bed.buffer(-INSET + 0.01, join_style="mitre")
    assert shapely.covers(inside if not inside.is_empty else bed, lines)
    west, south, east, north = bed.bounds
    across, up = np.meshgrid(np.linspace(west, east, 60), np.linspace(south, north, 60))
    held = shapely.contains_xy(bed, across, up)
    far = shapely.distance(shapely.points(across[held], up[held]), lines)
    assert far.max() <= max(spacing, INSET * 1.5) + 0.01  # in a corner of the outline: its diagonal
    assert len(found.joins) >= len(found.lines) - 1  # all hang together
    for x, y in emitters_on(found, 1.5):
        assert shapely.distance(shapely.points(x, y), lines) < 1e-6


def test_lines_around_turn_with_the_bed():
    before = drip_layout(HOLED, 1.5, AROUND)
    after = drip_layout(turned(HOLED, 33, about=(5.0, -3.0)), 1.5, AROUND)
    assert (after.laid, after.header) == (pytest.approx(before.laid), pytest.approx(before.header))
