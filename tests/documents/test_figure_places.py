"""The figure of a dimension stands where nothing else does."""

from hypothesis import given, settings
from hypothesis import strategies as st

from app.documents.figure_places import HIGH, SIZE, figure_place, is_steep, line_boxes
from app.documents.sheet_view import Taken, words_width

POINTS = st.tuples(st.floats(60, 740), st.floats(60, 540))


def box_of(at, start, end, words):
    wide = words_width(words, SIZE) * 1.06 + 12
    across, up = (HIGH, wide) if is_steep(start, end) else (wide, HIGH)
    return at[0] - across / 2, at[1] - up / 2, at[0] + across / 2, at[1] + up / 2


def apart(one, other):
    return (
        one[2] <= other[0] + 1e-6 or other[2] <= one[0] + 1e-6 or one[3] <= other[1] + 1e-6 or other[3] <= one[1] + 1e-6
    )


def test_figure_stands_on_the_middle_of_its_line_where_that_is_free():
    assert figure_place(Taken(800, 600), (100, 300), (500, 300), "33'-4\"") == (300, 300)
    assert figure_place(Taken(800, 600), (300, 100), (300, 500), "33'-4\"") == (300, 300)


def test_figure_moves_along_its_line_past_what_stands_there():
    taken = Taken(800, 600)
    taken.take((280, 290, 320, 310))
    x, y = figure_place(taken, (100, 300), (500, 300), "33'-4\"")
    assert y == 300
    assert abs(x - 300) > 30


def test_figure_of_a_short_dimension_stands_beside_it():
    _, y = figure_place(Taken(800, 600), (300, 300), (320, 300), "1'-8\"")
    assert y != 300


def test_line_is_kept_free_of_later_words():
    taken = Taken(800, 600)
    figure_place(taken, (100, 300), (500, 420), "33'-4\"")
    assert taken.first_free([(200, 330)], 60, 20) is None
    assert taken.first_free([(200, 400)], 60, 20) == (200, 400)
    assert all(
        right - left < 20 and bottom - top < 20 for left, top, right, bottom in line_boxes((100, 300), (500, 420))
    )


@settings(max_examples=60)
@given(st.lists(st.tuples(POINTS, POINTS), min_size=2, max_size=6))
def test_no_figure_hits_another_or_a_line_that_was_there(lines):
    taken, before = Taken(800, 600), []
    for start, end in lines:
        box = box_of(figure_place(taken, start, end, "12'-6\""), start, end, "12'-6\"")
        middle = box_of(((start[0] + end[0]) / 2, (start[1] + end[1]) / 2), start, end, "12'-6\"")
        if box != middle:  # else there was no room at all, or none was needed
            assert all(apart(box, other) for other in before)
        before += [box, *line_boxes(start, end)]
