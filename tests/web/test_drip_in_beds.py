"""Drip line of a bed on the Beds sheet: laid in its outline, put into the recipe and so into the price, undone."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest

from app.documents.plan_drawing import plan_svg
from app.documents.plan_lines import PURPLE
from app.documents.plan_schedule import legend
from app.domain.crew import crew_sheets
from app.services.bed_care import watering_pdf
from app.services.crew_pages import crew_page
from app.services.sheets import sheet
from tests.web.test_beds_sheet import BED
from tests.web.yard import Yard, text_of


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    one = Yard(tmp_path)
    one.zone(**BED)  # 20 × 10 ft
    yield one
    one.close()


def test_line_is_added_to_the_bed_and_follows_its_outline(yard: Yard) -> None:
    way = yard.job.alternatives[0].id
    page = text_of(yard.get("beds").text)
    assert "Drip line not in the price" in page
    assert "Line in rows 135'-4\"" in page  # 7 rows of 19 ft 4 in
    assert "Line in all, whole feet 145'-0\"" in page  # a header of 9 ft with it: 144 ft 4 in
    assert "91" in page.split("Emitters, every")[1][:40]  # 13 in each row, where they lie
    picture = yard.get("beds").text.split('aria-label="Drip line in Border"')[1].split("</svg>")[0]
    assert "7 rows of drip line, 145 ft in all, 91 emitters" in picture
    assert picture.split('<path d="')[2].count("M") == 7
    before = yard.price
    assert yard.post(f"beds/drip/{way}").status_code == 200
    (work,) = [one for one in yard.job.works if one.assembly == "drip-in-bed"]
    assert dict(work.parameters) == {"line": "145*foot", "kits": "1", "fittings": "14"}  # a tee and an end to each row
    assert yard.price > before
    assert "Drip line in the price" in text_of(yard.get("beds").text)
    again = yard.post(f"beds/drip/{way}")
    assert again.status_code == 422
    assert "has this drip line already" in again.text
    yard.post("undo", {"sheet": "beds"})
    assert yard.price == before
    assert not [one for one in yard.job.works if one.assembly == "drip-in-bed"]


def test_recipe_that_is_there_keeps_its_other_numbers_and_closer_rows_take_more(yard: Yard) -> None:
    way = yard.job.alternatives[0].id
    change = str(uuid4())
    yard.post(f"beds/drip/{way}", {"change_id": change})
    assert yard.post(f"beds/drip/{way}", {"change_id": change}).status_code == 200  # sent again
    (work,) = [one for one in yard.job.works if one.assembly == "drip-in-bed"]
    yard.post(f"plan/work/{work.id}/parameter", {"name": "rows", "formula": '9"', "version": "1"})
    (work,) = [one for one in yard.job.works if one.assembly == "drip-in-bed"]
    assert "rows" in work.parameters, work.parameters
    assert "the price has 145'-0\"" in text_of(yard.get("beds").text)
    assert yard.post(f"beds/drip/{way}").status_code == 200
    (work,) = [one for one in yard.job.works if one.assembly == "drip-in-bed"]
    assert work.parameters["rows"] == "9*inch"
    assert work.parameters["line"] == "261*foot"  # 13 rows of 19 ft 4 in and twelve spacings of 9 in: 260 ft 4 in


def drip_on_plan(yard: Yard, **looks: Any) -> tuple[int, int]:
    """Lines of drip line on the plan, and what joins them."""
    drawn = plan_svg(yard.job, yard.office.basis(), **looks)
    lines, joins = (
        re.findall(rf'd="([^"]*)" fill="none" stroke-linejoin="round" stroke="{PURPLE}" stroke-width="{width}"', drawn)
        for width in (1, 2)
    )
    return "".join(lines).count("M"), "".join(joins).count("M")


def test_bed_without_outline_and_bed_that_is_gone_are_refused(yard: Yard) -> None:
    yard.zone(title="Later", kind="planting", **{"outline.shape": ""})
    later = [one for one in yard.job.alternatives if one.outline is None]
    for way in later:
        assert yard.post(f"beds/drip/{way.id}").status_code == 422
    assert later
    assert yard.post(f"beds/drip/{uuid4()}").status_code == 404


def test_line_is_laid_around_the_outline_and_back_in_rows(yard: Yard) -> None:
    way = yard.job.alternatives[0].id

    def laid(way_of_laying: str):
        version = str(yard.version("alternative", way))
        return yard.post(f"beds/drip/{way}/laid", {"drip": way_of_laying, "version": version})

    assert laid("around").status_code == 200
    assert yard.job.alternatives[0].drip == "around"
    page = text_of(yard.get("beds").text)
    assert "Line around 146'-8\"" in page  # three rectangles and a line in the middle
    assert "What joins them 4'-6\"" in page
    assert "Lay it in rows" in page
    # 97 emitters of 0.6 gal/h on 200 sq ft: 0.467 in an hour, so 0.18 in take 23 minutes
    assert "Runs for a hot day's water, 0.18 in 23 min" in page
    assert yard.post(f"beds/drip/{way}").status_code == 200
    (work,) = [one for one in yard.job.works if one.assembly == "drip-in-bed"]
    assert work.parameters["line"] == "152*foot"
    assert drip_on_plan(yard, face="print") == (4, 3)
    assert drip_on_plan(yard, face="ours") == drip_on_plan(yard, face="client") == (0, 0)
    assert drip_on_plan(yard, face="ours", highlight=yard.job.zones[0].id) == (4, 3)
    assert "drip line, in beds" in [word for word, _pen in legend(yard.job)]
    assert laid("sideways").status_code == 422
    assert laid("").status_code == 200
    assert drip_on_plan(yard, face="print") == (7, 6)
    yard.post(
        f"plan/work/{work.id}/parameter",
        {"name": "rows", "formula": '9"', "version": str(yard.version("work", work.id))},
    )
    assert drip_on_plan(yard, face="print") == (13, 12)
    yard.post("undo", {"sheet": "plan"})
    assert "Line in rows 135'-4\"" in text_of(yard.get("beds").text)


def test_crew_order_and_watering_sheet_tell_the_line_of_the_beds_page(yard: Yard) -> None:
    way = yard.job.alternatives[0].id
    for species in ("liatris-spicata", "quercus-rubra"):
        assert yard.post("beds/planting/new", {"bed": str(way), "species": species}).status_code == 200
    assert yard.post(f"beds/drip/{way}").status_code == 200
    view = sheet(yard.office, yard.id)
    basis = view.basis
    (crew,) = [one for one in crew_sheets(view.job, basis) if one.zone_id]
    told = dict(
        next(one.drip for one in crew_page(crew, view.job, basis, yard.office.settings.library).works if one.drip)
    )
    assert told["Drip line in all"] == "145'-0\": 135'-4\" laid, 9'-0\" to join them"
    assert told["Lines"] == "7 rows, 1'-6\" apart"
    assert told["Emitters"] == "91, every 1'-6\""
    assert told["Flow"] == "54.6 gal/h on one valve, each with filter, regulator and flush end"
    assert "In the order" not in told
    amounts = {one.title: one.amount for one in crew.materials}
    assert amounts["Drip line, emitters every 18 in"] == pytest.approx(145 * 1.08)  # the material's own loss
    assert amounts["Filter, regulator and flush end"] == 1
    assert amounts["Fittings for pipe"] == 16  # a tee and an end to each of seven rows, and a tenth lost
    paper = text_of(watering_pdf(yard.office, view).html)
    assert "Drip line of 145'-0\", 91 emitters of 0.6 gal/h: 54.6 gal/h in all." in paper
    # a pot of a quart to a gallon wants a third of it from the one emitter near it; a tree's ball more than two hours
    assert "by hand besides" in paper.split("Quercus rubra")[1][:60]
    minutes = int(paper.split("One watering: ")[1].split(" min")[0])
    assert f"{minutes} min" in paper.split("Liatris spicata")[1][:60]
