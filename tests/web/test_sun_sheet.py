"""The Sun sheet: what is missing is asked for; then hours by place, the picture of a month, nothing on nonsense."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.web.yard import Yard, text_of


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    one = Yard(tmp_path)
    one.zone()
    yield one
    one.close()


SITE = {
    "latitude": "40.2",
    "longitude": "76.7 W",
    "house_height": "18",
    "house.shape": "rectangle",
    "house.width": "40",
    "house.depth": "20",
    "house.left": "0",
    "house.front": "40",
}


def told(yard: Yard) -> None:
    answer = yard.post(f"site/site/{yard.job.site.id}", {**SITE, "version": "1"})
    assert answer.status_code == 200, answer.text


def test_what_is_missing_is_asked_for(yard: Yard) -> None:
    page = text_of(yard.get("sun").text)
    assert "latitude and longitude" in page
    assert "how high the house is" in page
    assert yard.get("sun/hours.svg").status_code == 409


def test_a_yard_has_its_hours_its_evenings_and_a_picture_of_each_month(yard: Yard) -> None:
    told(yard)
    page = yard.get("sun?month=12")
    assert "Hours of sun, December" in text_of(page.text)
    assert "Evening sun at the seats" in page.text
    assert "sun/hours.svg?month=12" in page.text
    picture = yard.get("sun/hours.svg?month=6")
    assert picture.headers["content-type"].startswith("image/svg+xml")
    assert "of the ground has 8 h and more" in picture.text
    assert picture.text != yard.get("sun/hours.svg?month=12").text


@pytest.mark.parametrize("month", ["0", "13", "June", "99999999999999999999"])
def test_no_month_is_no_error_of_ours(yard: Yard, month: str) -> None:
    told(yard)
    assert "Hours of sun, June" in text_of(yard.get(f"sun?month={month}").text)
    assert yard.get(f"sun/hours.svg?month={month}").status_code == 422
