"""Dimensions that the plan puts there by itself: line and figure hit neither words nor another dimension."""

import re
from dataclasses import replace

import pytest

from app.documents.figure_places import line_boxes, own_place
from app.documents.plan_drawing import plan_svg
from app.documents.sheet_view import Taken
from app.domain.job import Dimension, Note
from app.domain.plan import rectangle
from tests.plans.yards import basis, empty, named, with_zone

FIGURE = re.compile(r'<text class="figures" x="([\d.]+)" y="([\d.]+)"[^>]*>([^<]+)</text>')


def overlap(one, other) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def test_line_with_its_figure_is_taken_where_both_are_free() -> None:
    taken = Taken(800, 600)
    assert own_place(taken, (100, 300), (500, 300), "33'-4\"") == (300, 300)
    assert own_place(taken, (300, 100), (300, 500), "33'-4\"") is None  # it would cross the first one
    assert own_place(taken, (100, 340), (500, 340), "33'-4\"") == (300, 340)


@pytest.mark.parametrize("at", [0.5, 0.3, 0.7])
def test_line_is_not_taken_where_words_stand_on_it(at: float) -> None:
    taken = Taken(800, 600)
    taken.take((100 + 400 * at - 20, 290, 100 + 400 * at + 20, 310))
    before = {key: list(own) for key, own in taken.squares.items()}
    assert own_place(taken, (100, 300), (500, 300), "33'-4\"") is None
    assert taken.squares == before


def test_line_too_short_for_its_figure_carries_none() -> None:
    assert own_place(Taken(800, 600), (100, 300), (140, 300), "33'-4\"") is None


def plan(**more):
    job = with_zone(empty(house=None), "A", rectangle(30, 20), title="Terrace")
    return replace(with_zone(job, "B", rectangle(18, 20, at=(30, 0)), title="Court"), **more)


def figures(job) -> dict[str, tuple[float, float]]:
    drawn = plan_svg(job, basis(), width_px=900, height_px=700)
    return {
        words.replace("&#34;", '"').replace("&quot;", '"'): (float(x), float(y))
        for x, y, words in FIGURE.findall(drawn)
    }


def test_overall_dimension_gives_way_to_a_dimension_that_somebody_put_there() -> None:
    plain = figures(plan())
    whole = next(words for words in plain if words.startswith("48"))
    low = Dimension(id=named("dimension"), start=(0.0, 0.0), end=(48.0, 0.0), offset=-2.2)
    moved = figures(replace(plan(), dimensions=(low,)))
    assert len(moved) >= len(plain)
    (x, y), (own_x, own_y) = moved[whole], plain[whole]
    assert (x, y) != (own_x, own_y) or any(abs(other[1] - y) > 18 for words, other in moved.items() if words != whole)


def test_no_figure_of_the_plan_covers_another_however_many_notes_there_are() -> None:
    notes = tuple(
        Note(id=named(f"note {at}"), words="Keep clear of the old well", x=4.0 + 9 * at, y=-1.5 - at % 2)
        for at in range(5)
    )
    across = Dimension(id=named("dimension"), start=(0.0, 5.0), end=(30.0, 5.0))
    found = figures(plan(notes=notes, dimensions=(across,)))
    boxes = [(x - 4.2 * len(words), y - 14, x + 4.2 * len(words), y + 5) for words, (x, y) in found.items()]
    assert len(boxes) >= 3
    assert not any(overlap(one, other) for at, one in enumerate(boxes) for other in boxes[:at])


def test_boxes_of_a_line_cover_it_from_end_to_end() -> None:
    boxes = list(line_boxes((0, 0), (100, 0)))
    assert (boxes[0][0], boxes[-1][2]) == (-2, 102)
