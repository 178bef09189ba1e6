"""Orders and crews wait while the client may cancel, or the owner says why they need not. Source: 16 CFR 429."""

from datetime import UTC, datetime, timedelta
from uuid import UUID, uuid4

import pytest

from app.domain.errors import BadValue, NotFound
from app.services import build, field, waiting
from app.services.checks import Going
from app.services.day_sheets import crew_days
from app.services.office import Office
from app.services.sheets import sheet
from tests.offering import offer, order, sign
from tests.web.conftest import Browser

WHY = Going(
    by="Maren Oduya", reason="Water stands in the cellar; their own statement, dated and signed, is with the job."
)


def signed(office: Office, job_id: UUID, *places: str) -> str:
    one = offer(office, job_id)
    for name, place in zip(("Linnea Whitlock", "Joss Whitlock"), places, strict=True):
        sign(office, job_id, one.id, name, place=place)
    return one.id


def held(office: Office, job_id: UUID) -> tuple[waiting.Hold, ...]:
    return build.build_sheet(office, sheet(office, job_id)).holds


def test_orders_and_crews_wait_for_the_days_to_cancel(stocked: Office, ready: UUID) -> None:
    signed(stocked, ready, "office", "home")
    (one,) = held(stocked, ready)
    assert one.waits
    words = f"Not to be sent before {one.window.free_on:%B} {one.window.free_on.day}, {one.window.free_on.year}"
    view = sheet(stocked, ready)
    for paper in (build.order_pdf(stocked, view), build.crew_pdf(stocked, view, "all")):
        assert words in paper.html
    assert field.field_job(stocked, ready).free_on == one.window.free_on
    stocked.clock.now = datetime.combine(one.window.free_on, datetime.min.time(), UTC) + timedelta(hours=12)  # type: ignore[attr-defined]
    assert held(stocked, ready) == ()
    assert "Not to be sent" not in build.order_pdf(stocked, sheet(stocked, ready)).html
    assert field.field_job(stocked, ready).free_on is None


def test_nothing_waits_where_all_signed_at_the_office(stocked: Office, ready: UUID) -> None:
    signed(stocked, ready, "office", "office")
    assert held(stocked, ready) == ()


def test_what_was_not_asked_counts_as_the_clients_home(stocked: Office, ready: UUID) -> None:
    signed(stocked, ready, "", "")
    assert len(held(stocked, ready)) == 1


def test_owner_goes_on_with_name_and_reason_and_may_take_it_back(stocked: Office, ready: UUID) -> None:
    revision_id = signed(stocked, ready, "home", "home")
    waiting.go_on(stocked, ready, revision_id, WHY, order())
    (one,) = held(stocked, ready)
    assert not one.waits
    assert one.gone_on is not None
    assert (one.gone_on.by, one.gone_on.reason) == (WHY.by, WHY.reason)
    assert "Not to be sent" not in build.order_pdf(stocked, sheet(stocked, ready)).html
    assert field.field_job(stocked, ready).free_on is None
    with pytest.raises(NotFound):
        waiting.go_on(stocked, ready, revision_id, WHY, order())
    waiting.wait_again(stocked, ready, one.gone_on.id, order())
    assert held(stocked, ready)[0].waits


@pytest.mark.parametrize(
    ("going", "error"),
    [(Going(by=" ", reason=WHY.reason), "name"), (Going(by=WHY.by, reason="-"), "reason")],
)
def test_going_on_wants_a_name_and_a_reason(stocked: Office, ready: UUID, going: Going, error: str) -> None:
    revision_id = signed(stocked, ready, "home", "home")
    with pytest.raises(BadValue, match=error):
        waiting.go_on(stocked, ready, revision_id, going, order())
    with pytest.raises(NotFound):
        waiting.go_on(stocked, ready, str(uuid4()), WHY, order())
    assert held(stocked, ready)[0].waits


def test_build_asks_for_name_and_reason_and_keeps_what_was_typed(stocked: Office, ready: UUID) -> None:
    revision_id = signed(stocked, ready, "home", "home")
    browser = Browser(stocked)
    with browser.client:
        page = browser.get(f"/jobs/{ready}/build").text
        assert "Orders and crews wait" in page
        assert "Go on with a reason" in page
        answer = browser.post(f"/jobs/{ready}/build/go-on/{revision_id}", {"by": "Maren Oduya", "reason": ""})
        assert answer.status_code == 422
        assert 'value="Maren Oduya"' in answer.text
        answer = browser.post(f"/jobs/{ready}/build/go-on/{revision_id}", {"by": WHY.by, "reason": WHY.reason})
        assert answer.status_code == 303
        assert "Wait after all" in browser.get(f"/jobs/{ready}/build").text


def test_day_sheet_says_plainly_that_the_crew_is_not_released_on_screen_and_on_paper(stocked: Office, ready: UUID):
    here, days = Browser(stocked), f"/jobs/{ready}/days"
    assert "Nothing is signed. Begin nothing" in here.get(days).text
    signed(stocked, ready, "office", "home")
    (one,) = held(stocked, ready)
    said = f"Start nothing before {one.window.free_on:%b} {one.window.free_on.day}"
    day = crew_days(stocked, sheet(stocked, ready)).days[0]
    for address in (days, f"/field/{ready}/days", f"/field/{ready}/days/{day}"):
        page = here.get(address).text
        assert "Not released to the crew yet" in page
        assert said in page
    stocked.clock.now = datetime.combine(one.window.free_on, datetime.min.time(), UTC) + timedelta(hours=12)  # type: ignore[attr-defined]
    assert "Not released" not in here.get(f"/field/{ready}/days/{day}").text
