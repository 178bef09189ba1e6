"""Laid units on the drawing: the true pattern, clipped by its field, in few bytes."""

import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from app.documents.plan_drawing import plan_svg
from app.domain.job import BorderCourse, Job, Laying
from app.domain.plan import rectangle
from app.domain.plan.laying import PATTERNS
from tests.plans import yards

SVG = "{http://www.w3.org/2000/svg}"


def yard(laying: Laying | None, side: float = 12) -> Job:
    job = yards.with_zone(yards.empty(), "A", rectangle(side, side, at=(0, 20)), assembly="unit-pavers")
    square = {"finish": "paver-brick-smoke"}
    return replace(job, works=(replace(job.works[0], laying=laying, finishes=square),))


def drawn(job: Job, face: str = "ours", *, lit: bool = True, width: int = 900) -> ET.Element:
    svg = plan_svg(job, yards.basis(), width_px=width, face=face, highlight=job.zones[0].id if lit else None)
    return ET.fromstring(svg)


def strips(svg: ET.Element) -> list[ET.Element]:
    return [one for one in svg.iter(f"{SVG}use") if (one.get("href") or "").endswith("-s")]


@pytest.mark.parametrize("pattern", [one for one in PATTERNS if one != "pinwheel"])
def test_the_pattern_is_drawn_as_a_strip_used_again(pattern: str) -> None:
    svg = drawn(yard(Laying(pattern=pattern)))
    used = strips(svg)
    assert len(used) > 5
    named = {one.get("id") for one in svg.iter()}
    assert {(one.get("href") or "").removeprefix("#") for one in used} <= named
    clip = f"url(#{(used[0].get('href') or '').removeprefix('#').removesuffix('-s')})"
    assert clip in {one.get("clip-path") for one in svg.iter(f"{SVG}g")}


def test_without_a_pattern_the_hatch_stands() -> None:
    svg = drawn(yard(None))
    assert not strips(svg)
    assert list(svg.iter(f"{SVG}pattern"))


def test_only_the_zone_in_focus_is_drawn_unit_by_unit_on_the_page_and_every_zone_on_paper() -> None:
    job = yard(Laying())
    assert not strips(drawn(job, lit=False))
    assert strips(drawn(job, "print", lit=False))


def test_units_too_small_to_see_are_left_to_the_hatch() -> None:
    assert not strips(drawn(yard(Laying(), side=600)))


def test_each_course_has_its_joints_and_its_rim() -> None:
    job = yard(Laying(pattern="stack", borders=(BorderCourse(),), corners="butt"))
    svg = drawn(job)
    border = next(one for one in svg.iter(f"{SVG}path") if (one.get("d") or "").count("M") > 100)
    # butted soldiers of 4 by 8 in: 34 on each side of 12 ft, one joint drawn to each, and the rim of the field
    assert border.get("d", "").count("M") == 4 * 34 + 1


def test_where_laying_starts_is_marked_where_it_lies_in_the_field() -> None:
    def marked(start: tuple[float, float]) -> bool:
        svg = drawn(yard(Laying(pattern="stack", start=start, angle=0)))
        return any(one.text == "Laying starts here" for one in svg.iter(f"{SVG}title"))

    assert marked((3, 25))
    assert not marked((-30, 25))


def test_a_laid_zone_is_light_in_bytes() -> None:
    bare, laid = (len(plan_svg(yard(one, 30), yards.basis(), face="print")) for one in (None, Laying()))
    assert laid - bare < 12_000  # 900 sq ft of 4 by 8 in: about 4,000 units


def test_the_strip_begins_where_laying_starts() -> None:
    job = yard(Laying(pattern="stack", start=(3, 25), angle=0))
    svg = drawn(job)
    group = next(one for one in svg.iter(f"{SVG}g") if (one.get("transform") or "").startswith("matrix"))
    a, b, c, d, x, y = (float(one) for one in re.findall(r"-?[\d.e]+", group.get("transform", "")))
    assert (b, c) == (0, 0)
    assert a == -d
    scale = a * 1000
    rim = next(
        one for one in svg.iter(f"{SVG}clipPath") if one.find(f"{SVG}path") is not None and "laid" in one.get("id", "")
    )
    corner = re.findall(r"-?[\d.]+", rim[0].get("d", ""))
    left = min(float(one) for one in corner[0::2])
    bottom = max(float(one) for one in corner[1::2])
    assert (x - left) / scale == pytest.approx(3, abs=0.01)
    assert (bottom - y) / scale == pytest.approx(5, abs=0.01)
