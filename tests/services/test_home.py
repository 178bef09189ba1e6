"""Home: jobs by how pressing their next day is, read page by page."""

from datetime import date, timedelta
from uuid import UUID, uuid4

from app.domain.job import Stage
from app.services import home as homes
from app.services.home import home
from app.services.jobs import NewJob, Order, begin_job, changed, save
from app.services.office import Office

TODAY = date(2027, 3, 9)  # of the test's clock


def job(office: Office, name: str, **fields) -> UUID:
    made = begin_job(office, NewJob(name=name), Order(change_id=uuid4()))
    if fields:
        save(office, made, (changed("job", made, 1, fields),), Order(change_id=uuid4()))
    return made


def names(lines) -> list[str]:
    return [line.client for line in lines]


def test_jobs_stand_in_groups_by_day_the_overdue_first(office: Office) -> None:
    job(office, "later", next_day=TODAY + timedelta(days=8))
    job(office, "undated")
    job(office, "today", next_day=TODAY)
    job(office, "overdue", next_day=TODAY - timedelta(days=1))
    job(office, "week", next_day=TODAY + timedelta(days=7))
    found = home(office)
    assert (names(found.overdue), names(found.soon)) == (["overdue"], ["today", "week"])
    assert (names(found.later), names(found.undated)) == (["later"], ["undated"])


def test_closed_jobs_are_listed_apart(office: Office) -> None:
    job(office, "open")
    job(office, "done", stage=Stage.DONE)
    job(office, "lost", stage=Stage.LOST, next_day=TODAY)
    assert names(home(office).undated) == ["open"]
    closed = home(office, closed=True)
    assert sorted(names((*closed.soon, *closed.undated))) == ["done", "lost"]


def test_pages_hold_every_job_once_across_dated_and_undated(office: Office, monkeypatch) -> None:
    monkeypatch.setattr(homes, "PAGE", 3)
    for n in range(11):
        job(office, f"job {n}", **({"next_day": TODAY + timedelta(days=n)} if n % 2 else {}))
    seen: list[str] = []
    page = 0
    while True:
        found = home(office, page=page)
        seen += names((*found.overdue, *found.soon, *found.later, *found.undated))
        if not found.more:
            break
        page += 1
    assert sorted(seen) == sorted(f"job {n}" for n in range(11))
    assert len(seen) == 11


def test_search_finds_by_any_case_and_takes_signs_as_they_are(office: Office) -> None:
    job(office, "Linnea Whitlock")
    job(office, "100% Stone_co")
    assert names(home(office, search="WHIT").undated) == ["Linnea Whitlock"]
    assert names(home(office, search="0% stone_").undated) == ["100% Stone_co"]
    assert home(office, search="%_%_%").empty


def test_what_comes_next_follows_the_stage_until_somebody_types_it(office: Office) -> None:
    for stage in Stage:
        job(office, stage.value, stage=stage)
    said = {line.client: line.next_step for line in home(office).lines}
    assert said["lead"] == "Visit and measure"
    assert len(set(said.values())) == len(said) == 5
    assert all(said.values())
    assert [line.next_step for line in home(office, closed=True).lines] == ["", ""]


def test_a_step_of_an_earlier_stage_that_was_saved_is_over_one_that_was_typed_stays(office: Office) -> None:
    job(office, "saved", stage=Stage.SIGNED, next_step="Visit and measure")
    job(office, "typed", stage=Stage.SIGNED, next_step="Call the mason")
    said = {line.client: line.next_step for line in home(office).lines}
    assert said == {"saved": "Order and set the first day", "typed": "Call the mason"}


def test_closed_jobs_are_never_overdue(office: Office) -> None:
    job(office, "done", stage=Stage.DONE, next_day=TODAY - timedelta(days=9))
    assert names(home(office, closed=True).overdue) == []
    assert names(home(office, closed=True).undated) == ["done"]
