"""Shapes of the plan in files: taken along, and brought in one by one as what the person says."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.domain.plan.measures import area
from tests.web.yard import Yard, text_of

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 40"><rect id="patio" width="20" height="12"/>'
    '<path id="fence" d="M0 30L40 30"/><circle id="oak" cx="30" cy="6" r="4"/></svg>'
)


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    yield opened
    opened.close()


def hidden(text: str) -> dict[str, str]:
    return dict(re.findall(r'name="(wkt\.\d+)" value="([^"]*)"', text))


def test_drawing_is_looked_at_then_put_on_the_plan_as_chosen(yard: Yard) -> None:
    assert "Bring in a drawing" in yard.get("plan").text or yard.job.zones == ()
    assert yard.get("plan/bring-in").status_code == 200
    looked = yard.post("plan/bring-in", {"pasted": DRAWING, "unit": "1 ft"})
    assert looked.status_code == 200
    assert yard.job.zones == ()
    wkts = hidden(looked.text)
    assert len(wkts) == 3
    names = {"name.0": "Patio", "name.1": "Fence", "name.2": "Oak"}
    becomes = {"becomes.0": "zone", "becomes.1": "run", "becomes.2": "existing"}
    assert yard.post("plan/bring-in/keep", {**wkts, **names, **becomes}).status_code == 204
    assert (yard.job.zones[0].title, area(yard.job.alternatives[0].outline)) == ("Patio", 240)
    assert yard.job.alternatives[0].measured == "sketch"
    assert yard.job.runs[0].points == ((0, -30), (40, -30))
    assert yard.job.existing[0].title == "Oak"
    yard.post("undo", {"sheet": "plan"})
    assert (yard.job.zones, yard.job.runs, yard.job.existing) == ((), (), ())


def test_file_is_taken_as_well_as_pasted_text(yard: Yard) -> None:
    path = f"/jobs/{yard.id}/plan/bring-in"
    sent = yard.browser.post(path, {"width": "40"}, files={"file": ("a.svg", DRAWING.encode(), "image/svg+xml")})
    assert sent.status_code == 200
    assert len(hidden(sent.text)) == 3


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"pasted": DRAWING}, "does not say how large it is"),
        ({"pasted": DRAWING, "unit": "wide"}, "is not understood as a length"),
        ({"pasted": ""}, "is empty"),
        ({}, "is empty"),
        ({"pasted": "<!DOCTYPE svg [<!ENTITY a 'b'>]><svg/>", "unit": "1"}, "document type"),
        ({"pasted": "POLYGON ((0 0, 1 0))"}, "Line 1"),
    ],
)
def test_drawing_that_cannot_be_read_is_refused_with_a_sentence(yard: Yard, fields: dict, said: str) -> None:
    answer = yard.post("plan/bring-in", fields)
    assert answer.status_code == 422
    assert said in text_of(answer.text)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({}, "Nothing was chosen"),
        ({"wkt.0": "LINESTRING (0 0, 1 0)", "becomes.0": "zone", "name.0": "Fence"}, "open line"),
        ({"wkt.0": "POLYGON ((0 0, 1 1, 1 0, 0 1, 0 0))", "becomes.0": "zone"}, "crosses"),
        ({"wkt.0": "<script>", "becomes.0": "run"}, "cannot be read"),
        ({"wkt.0": "POLYGON ((0 0, 1 0, 0 1, 0 0))", "becomes.0": "none"}, "Nothing was chosen"),
    ],
)
def test_choice_that_cannot_be_keeps_what_was_chosen(yard: Yard, fields: dict, said: str) -> None:
    answer = yard.post("plan/bring-in/keep", fields)
    assert answer.status_code == 422
    assert said in text_of(answer.text)
    assert "<script>" not in answer.text
    assert yard.job.zones == ()


def test_plan_is_taken_along_as_svg_and_as_wkt(yard: Yard) -> None:
    yard.zone()
    svg, table = yard.get("plan/shapes.svg"), yard.get("plan/shapes.csv")
    assert svg.headers["content-disposition"] == 'attachment; filename="plan.svg"'
    assert "<title>A Dining terrace</title>" in svg.text
    assert 'zone,A Dining terrace,"POLYGON ((0 0, 20 0, 20 12, 0 12, 0 0))"' in table.text
    assert yard.get("plan/shapes.svg").status_code == 200
