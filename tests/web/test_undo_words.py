"""The undo button says what was changed, not on which sheet."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.services import jobs
from app.web.change_words import what_of
from tests.web.yard import Yard, text_of


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    yield opened
    opened.close()


def undone(yard: Yard) -> str | None:
    return jobs.undo_words(yard.office, yard.id)


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"access_width": "4", "haul_distance": "", "soil": ""}, "Narrowest way in"),
        ({"access_width": "4", "haul_distance": "60"}, "Narrowest way in and distance from the truck"),
        ({"access_width": "4", "haul_distance": "60", "soil": "clay"}, "Narrowest way in and 2 more"),
        ({"private_lines.gas": "yes", "private_lines.pool": "no"}, "Private lines"),
    ],
)
def test_undo_of_the_site_names_the_fields_that_moved(yard: Yard, sent: dict, said: str) -> None:
    site = yard.job.site.id
    answer = yard.post(f"site/site/{site}", {"version": "1", **sent})
    assert answer.status_code == 200
    assert undone(yard) == said
    assert f"Undo {said}" in text_of(answer.text)


def test_undo_of_a_thing_names_it_and_the_field(yard: Yard) -> None:
    zone = yard.zone()
    yard.post(f"plan/zone/{zone}", {"version": "1", "words": "Supper outside.", "title": "Dining terrace"})
    assert undone(yard) == "Dining terrace: in plain words"
    yard.post("plan/run/new", {"title": "Low wall", "kind": "wall", "length": "10"})
    assert undone(yard) == "New: Low wall"
    run = yard.job.runs[0].id
    yard.post(f"plan/run/{run}", {"version": "1", "length": "12"})
    assert undone(yard) == "Low wall: length"
    yard.post(f"plan/run/{run}/remove", {"version": "2"})
    assert undone(yard) == "Low wall taken out"


def test_undo_of_the_job_is_not_called_job(yard: Yard) -> None:
    yard.post(f"client/job/{yard.id}", {"version": "1", "next_step": "Send the draft"})
    assert undone(yard) == "Next step"


def test_undo_of_the_firms_settings_names_them(yard: Yard) -> None:
    firm = yard.office.firm_id
    yard.browser.post(f"/firm/firm/{firm}", {"version": "1", "margin": "18%", "change_id": ""})
    assert jobs.undo_words(yard.office, None) == "Margin"


def test_a_long_name_is_cut_and_an_unknown_thing_falls_back() -> None:
    assert what_of("site", None, {"soil": "clay"}, "Site") == "Site"
    named = {"title": "A very long name of a zone that nobody would ever read on a button", "words": ""}
    assert what_of("zone", named, {"words": "x"}, "Zone") == "A very long name of a zone that nobody…: in plain words"
