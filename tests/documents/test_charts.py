"""Charts say what they show in words, stand right in black and white, and carry nothing a page would refuse."""

import re
from xml.etree import ElementTree as ET

import pytest

from app.documents.charts import Bar, Dots, Swing, Words, bars_svg, dots_svg, tornado_svg
from app.web.rendering import svg

WORDS = Words("What <moves> it", "Labor most")
SWINGS = (Swing("Labor & more", -120.0, 150.0, "-$1.20", "+$1.50"), Swing("Base", 0.0, 40.0, "$0", "+$0.40"))
CHARTS = {
    "tornado": tornado_svg(SWINGS, WORDS),
    "bars": bars_svg((Bar("A", 30.0, "+$0.30"), Bar("B", -10.0, "-$0.10"), Bar("C", 0.0, "$0")), WORDS),
    "dots": dots_svg((Dots("Fire", (10.0, 20.0), 15.0, "$15"), Dots("Lawn", (), None, "none")), WORDS),
    "none": dots_svg((), WORDS),
}
NAME = "{http://www.w3.org/2000/svg}"


def elements(chart: str, kind: str):
    return ET.fromstring(chart).findall(f".//{NAME}{kind}")


@pytest.mark.parametrize("name", CHARTS)
def test_chart_reads_as_xml_has_title_and_words_and_may_stand_on_a_page(name: str) -> None:
    chart = CHARTS[name]
    root = ET.fromstring(chart)
    assert root.get("role") == "img"
    assert root.find(f"{NAME}title").text == "What <moves> it"
    assert root.find(f"{NAME}desc").text == "Labor most"
    assert svg(chart) == chart


@pytest.mark.parametrize("name", CHARTS)
def test_no_two_marks_are_told_apart_by_color_alone(name: str) -> None:
    inks = set(re.findall(r'(?:fill|stroke)="(#[0-9a-f]{6})"', CHARTS[name]))
    assert inks <= {"#1d2a26", "#5b655d", "#cfc7b2"}  # ink for marks, soft for words, rule for lines
    marks = elements(CHARTS[name], "rect") + elements(CHARTS[name], "circle")
    assert {one.get("fill") for one in marks} <= {"none", "#1d2a26"}


def test_tornado_opens_downward_and_fills_upward_from_one_line() -> None:
    bars = elements(CHARTS["tornado"], "rect")
    assert [one.get("fill") for one in bars] == ["none", "#1d2a26", "#1d2a26"]
    left, right, base = ({key: float(one.get(key).rstrip("%")) for key in ("x", "width")} for one in bars)
    assert left["x"] + left["width"] == pytest.approx(right["x"], abs=0.02)
    assert right["x"] == pytest.approx(base["x"], abs=0.02)
    assert left["width"] / right["width"] == pytest.approx(120 / 150, rel=0.01)
    assert right["x"] + right["width"] == pytest.approx(99, abs=0.02)


def test_bars_below_nothing_are_open_and_dots_of_ones_own_are_square() -> None:
    assert [one.get("fill") for one in elements(CHARTS["bars"], "rect")] == ["#1d2a26", "none"]
    assert len(elements(CHARTS["dots"], "circle")) == 2
    assert len(elements(CHARTS["dots"], "rect")) == 1
