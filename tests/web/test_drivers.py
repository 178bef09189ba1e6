"""What drives the price, as a page: it comes by itself, every figure opens to both prices."""

from html import unescape
from uuid import UUID

from app.services.office import Office
from tests.web.conftest import Browser
from tests.web.test_estimate_sheet import DOOR, office, yard  # noqa: F401
from tests.web.yard import text_of


def test_swings_come_by_themselves_and_stay(web: Browser, yard: UUID) -> None:  # noqa: F811
    page = web.get(f"/jobs/{yard}/drivers").text
    assert f'hx-get="/jobs/{yard}/drivers/swings" hx-trigger="load"' in page
    part = web.part(f"/jobs/{yard}/drivers/swings")
    assert part.status_code == 200
    assert "<svg" in part.text
    assert "How long the work takes" in text_of(part.text)
    assert "hx-trigger" not in web.get(f"/jobs/{yard}/drivers").text.split('id="swings"')[1].split(">")[0]


def test_without_script_the_page_waits(web: Browser, yard: UUID) -> None:  # noqa: F811
    answer = web.get(f"/jobs/{yard}/drivers/swings", follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/jobs/{yard}/drivers")
    assert "10% more" in text_of(web.get(f"/jobs/{yard}/drivers").text)


def test_every_figure_opens_to_both_prices(web: Browser, office: Office, yard: UUID) -> None:  # noqa: F811
    web.get(f"/jobs/{yard}/drivers/swings")
    doors = {unescape(one) for one in DOOR.findall(web.get(f"/jobs/{yard}/drivers").text)}
    assert len(doors) > 10
    assert [one for one in doors if web.get(one, headers={"hx-request": "true"}).status_code != 200] == []
    assert web.get(f"/jobs/{yard}/why/driver:moon:more").status_code == 404
    assert web.get(f"/jobs/{yard}/why/driver:wage:sideways").status_code == 404
