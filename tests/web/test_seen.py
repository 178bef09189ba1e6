"""The yard seen from aside: turned by links, in every light, for us and the client; in the proposal where asked."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.services.yard_view import Looked, looked, looked_of
from tests.web.yard import Yard, text_of


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    yield opened
    opened.close()


def drawn(page: str) -> str:
    found = re.search(r'<figure class="yard".*?</figure>', page, re.DOTALL)
    return found[0] if found else ""


def test_an_empty_plan_says_so_and_has_no_drawing(yard: Yard) -> None:
    assert "Nothing is drawn on the plan yet" in text_of(yard.get("seen").text)
    assert yard.get("seen/yard.svg").status_code == 404


def test_it_is_turned_by_links_all_the_way_round(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    page, seen = yard.get("seen").text, set()
    for _ in range(8):
        seen.add(drawn(page))
        there = re.search(r'data-turn="right" href="([^"]+)"', page)
        assert there is not None
        page = yard.browser.get(there[1].replace("&amp;", "&")).text
    assert len(seen) == 8
    assert drawn(page) in seen
    assert "corner 1 of 8" in text_of(page)


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("corner=2&light=sun&day=2027-06-21&hour=15", "The sun stands"),
        ("corner=2&light=sun&day=2027-06-21&hour=23", "The sun is down"),
        ("corner=2&light=evening", "Pools show"),
        ("corner=2&plants=young&ink=yes", "corner 3 of 8"),
        ("corner=99&light=strobe&day=yesterday&hour=nan&plants=eaten", "corner 1 of 8"),
        ("corner=-1&hour=1e999&day=0000-00-00", "corner 1 of 8"),
    ],
)
def test_light_and_nonsense_in_the_address(yard: Yard, query: str, words: str) -> None:
    yard.zone(assembly="unit-pavers")
    answer = yard.get(f"seen?{query}")
    assert answer.status_code == 200
    assert words in text_of(answer.text)
    assert drawn(answer.text)
    assert yard.get(f"seen/yard.svg?{query}").text.startswith("<svg")


def test_the_view_is_put_into_the_proposal_and_taken_out_and_undone(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    head = yard.job.head
    words = "The yard seen from above and aside"
    view = looked({"corner": "3", "light": "sun", "hour": "9"}).address()
    answer = yard.post(f"seen/job/{head.id}", {"yard_view": view, "version": yard.version("job", head.id)})
    assert answer.status_code == 200
    assert "has a page with the view" in text_of(answer.text)
    assert looked_of(yard.job.head.yard_view).corner == 3
    assert "corner 4 of 8" in text_of(yard.get("seen").text)  # it opens as it was put there
    from app.services.proposals import next_draft
    from app.services.sheets import sheet

    assert words in next_draft(yard.office, sheet(yard.office, yard.id)).html
    yard.post("undo", {"sheet": "seen"})
    assert yard.job.head.yard_view == ""
    assert words not in next_draft(yard.office, sheet(yard.office, yard.id)).html


def test_the_latitude_is_that_of_the_site_or_said_to_be_assumed(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    assert "nobody said where the yard lies" in text_of(yard.get("seen?corner=1&light=sun").text)
    site = yard.job.site
    answer = yard.post(f"seen/site/{site.id}", {"latitude": "41.2", "version": yard.version("site", site.id)})
    assert answer.status_code == 200
    assert "41.2° north" in text_of(yard.get("seen?corner=1&light=sun").text)


def test_with_a_place_on_earth_the_hour_is_that_of_the_clock(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    site = yard.job.site
    where = {"latitude": "39.9526", "longitude": "-75.1652", "version": yard.version("site", site.id)}
    assert yard.post(f"seen/site/{site.id}", where).status_code == 200
    told = text_of(yard.get("seen?corner=1&light=sun&day=2025-06-21&hour=15").text)
    assert "stands 60° above the ground" in told  # NOAA solar calculator: 60.3° at Philadelphia, 3 pm daylight time
    assert "At, by the clock" in told
    assert yard.get("seen?corner=1&light=sun&day=1800-06-21&hour=24").status_code == 200


def test_the_client_sees_the_same_drawing_and_nothing_of_ours(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    ours, theirs = yard.get("seen").text, yard.browser.get(f"/show/{yard.id}/seen")
    assert theirs.status_code == 200
    assert drawn(theirs.text).replace("\n", "") == drawn(ours).replace("\n", "")
    assert "Put this view into the proposal" not in theirs.text
    assert "yard.svg" not in theirs.text
    assert "$" not in text_of(theirs.text)


def test_a_view_comes_back_from_its_address() -> None:
    one = Looked(corner=5, light="evening", hour=18.5, grown=False, ink=True, month=9)
    assert looked_of(one.address()) == one
    assert looked_of(one.to_corner(4)).corner == 1
    assert looked_of("") == Looked()
    assert [looked({"bloom": said}).month for said in ("5", "13", "-1", "May")] == [5, 0, 0, 0]


def test_the_bed_is_seen_in_the_bloom_of_a_month_that_is_named_beside_it(yard: Yard) -> None:
    yard.zone(title="Border", kind="planting", assembly="planting-bed")
    assert "In leaf" not in text_of(yard.get("seen").text)  # nothing on a list blooms
    bed = str(yard.job.alternatives[0].id)
    yard.post("beds/planting/new", {"bed": bed, "species": "asclepias-tuberosa"})
    pages = {month: yard.get(f"seen?corner=1&bloom={month}").text for month in ("", "7", "1")}
    assert "In bloom" not in text_of(pages[""])
    assert "In bloom: Butterfly weed orange" in text_of(pages["7"])
    assert "Nothing on the plant lists blooms then" in text_of(pages["1"])
    assert drawn(pages["7"]) != drawn(pages[""])
    assert drawn(pages["1"]) == drawn(pages[""])
    assert "In bloom: Butterfly" in text_of(yard.browser.get(f"/show/{yard.id}/seen?corner=1&bloom=7").text)
