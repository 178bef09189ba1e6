"""What was measured, drawn: symbols by how a place is known, levels, contours, falls; nothing on the client's face."""

import re
from dataclasses import replace
from math import dist
from xml.etree import ElementTree as ET

import pytest

from app.documents.plan_drawing import plan_svg
from app.documents.plan_marks import marks_svg
from app.domain.job import Job, Mark, Tape
from app.domain.plan import rectangle
from app.web.rendering import svg
from tests.plans.yards import basis, empty, named, with_zone

CORNERS = {"A": (0.0, 20.0), "B": (40.0, 20.0), "C": (44.0, 50.0), "D": (-5.0, 48.0)}
AT = (12.0, 34.0)


def measured(**tapes: float) -> Job:
    """A yard with a zone that falls down the sheet, four typed marks on a slope, one mark taped from them."""
    job = with_zone(empty(), "A", rectangle(20, 12, at=(0, 20)), level=0.0, fall=0.02, fall_bearing=0.0)
    corners = tuple(Mark(id=named(k), title=k, x=x, y=y, level=1 - 0.02 * y) for k, (x, y) in CORNERS.items())
    lengths = {key: dist(CORNERS[key], AT) for key in CORNERS} | tapes
    taped = tuple(Tape(from_id=named(key), length=length) for key, length in lengths.items())
    return replace(job, marks=(*corners, Mark(id=named("P"), title="P1", tapes=taped)))


def words_of(drawing: str) -> list[str]:
    return [one.text or "" for one in ET.fromstring(drawing).iter("{http://www.w3.org/2000/svg}text")]


def test_drawing_of_what_was_measured_is_well_formed_and_says_itself() -> None:
    drawing = marks_svg(measured(), basis())
    assert svg(drawing)
    words = words_of(drawing)
    assert {"P1", "2%", "ground 2%"} <= set(words)
    assert any(word.startswith("A ") and '7 1/4"' in word for word in words)  # 1 ft less 2% of 20 ft
    said = re.search(r"<desc[^>]*>([^<]*)", drawing)
    assert said
    assert "P1 at 12'-0\" right, 34'-0\" up" in said[1].replace("&#x27;", "'").replace("&quot;", '"')


def test_typed_marks_are_triangles_and_taped_ones_rings() -> None:
    drawing = marks_svg(measured(), basis())
    assert len(re.findall(r'r="1.6"', drawing)) == 4
    assert len(re.findall(r'r="5.5"', drawing)) == 1


def test_bad_tape_stands_out_and_two_places_are_both_shown() -> None:
    assert "#8c2f17" not in marks_svg(measured(), basis())
    assert "#8c2f17" in marks_svg(measured(B=40.0), basis())
    job = measured()
    lost = Mark(
        id=named("Q"), title="Q", tapes=(Tape(from_id=named("C"), length=12.0), Tape(from_id=named("D"), length=45.0))
    )
    assert words_of(marks_svg(replace(job, marks=(*job.marks[:4], lost)), basis())).count("Q?") == 2


def test_contours_stand_a_step_apart() -> None:
    # from 0 to 0.6 ft over the marks, a tenth of a foot apart
    drawn = marks_svg(measured(), basis())
    assert len(re.findall(r'stroke-dasharray="2 4"', drawn)) == 5


@pytest.mark.parametrize(("face", "shown"), [("ours", True), ("print", True), ("client", False), ("cover", False)])
def test_plan_shows_marks_and_falls_to_the_crew_and_not_to_the_client(face, shown: bool) -> None:
    words = words_of(plan_svg(measured(), basis(), face=face))
    assert ("P1" in words) is shown
    assert ("2%" in words) is shown


def test_nothing_measured_draws_nothing() -> None:
    bare = replace(empty(), site=replace(empty().site, house=None))
    assert marks_svg(bare, basis()) == ""
