"""The record of a job a page at a time: what stands, what was taken back, what things were called."""

from uuid import UUID, uuid4

from app.domain.job import Need, PlaceKind, Work, Zone
from app.services.history import PAGE, History, history
from app.services.jobs import Order, changed, made, open_job, removal, save, undo
from app.services.office import Office
from app.services.sheets import sheet
from tests.services.yard_of_ours import with_library


def read(office: Office, job_id: UUID, before: int | None = None) -> History:
    return history(office, sheet(office, job_id), before=before)


def rename(office: Office, job_id: UUID, title: str) -> None:
    edit = changed("job", job_id, open_job(office, job_id).version("job", job_id), {"title": title})
    save(office, job_id, (edit,), Order(change_id=uuid4(), what=title))


def test_what_was_taken_back_and_what_takes_back_are_told_apart(office: Office, job_id: UUID) -> None:
    for title in ("One", "Two"):
        rename(office, job_id, title)
    undo(office, job_id, uuid4())
    told = [(one.what, one.undone, one.takes_back) for one in read(office, job_id).entries]
    assert told == [
        ("Two", False, True),
        ("Two", True, False),
        ("One", False, False),
        ("New job for Linnea Whitlock", False, False),
    ]


def test_entry_undone_on_a_newer_page_is_told_as_undone(office: Office, job_id: UUID) -> None:
    for count in range(PAGE):
        rename(office, job_id, f"T{count}")
    for _ in range(PAGE):
        undo(office, job_id, uuid4())
    first = read(office, job_id)
    assert all(one.takes_back and not one.undone for one in first.entries)
    second = read(office, job_id, first.older)
    assert [one.undone for one in second.entries] == [True] * PAGE


def test_page_that_is_just_full_is_all_and_one_more_begins_another(office: Office, job_id: UUID) -> None:
    for count in range(PAGE - 1):
        rename(office, job_id, f"T{count}")
    full = read(office, job_id)
    assert (len(full.entries), full.older) == (PAGE, None)
    rename(office, job_id, "one more")
    first = read(office, job_id)
    assert (len(first.entries), first.older) == (PAGE, first.entries[-1].seq)
    second = read(office, job_id, first.older)
    assert [one.what for one in second.entries] == ["New job for Linnea Whitlock"]
    assert second.older is None


def test_things_are_called_by_their_title_or_recipe_or_what_they_were_called(office: Office, job_id: UUID) -> None:
    with_library(office)
    gone = Zone(id=uuid4(), letter="A", title="Old bed")
    new = [
        ("zone", gone),
        ("need", Need(id=uuid4(), words="w" * 100)),
        ("work", Work(id=uuid4(), place=PlaceKind.JOB, assembly="cleanup")),
        ("work", Work(id=uuid4(), place=PlaceKind.JOB, assembly="cleanup", title="Sweep")),
        ("work", Work(id=uuid4(), place=PlaceKind.JOB, assembly="no-such-recipe")),
    ]
    save(office, job_id, tuple(made(kind, one) for kind, one in new), Order(change_id=uuid4()))
    opened = open_job(office, job_id)
    save(office, job_id, removal(opened, "zone", gone.id), Order(change_id=uuid4()))
    names = read(office, job_id).names
    recipe = office.basis().assemblies["cleanup"].title
    assert [names[str(one.id)] for _, one in new] == ["Old bed", "w" * 80, recipe, "Sweep", "no-such-recipe"]


def test_work_taken_out_is_called_by_its_recipe(office: Office, job_id: UUID) -> None:
    with_library(office)
    work = Work(id=uuid4(), place=PlaceKind.JOB, assembly="cleanup")
    save(office, job_id, (made("work", work),), Order(change_id=uuid4()))
    save(office, job_id, removal(open_job(office, job_id), "work", work.id), Order(change_id=uuid4()))
    assert read(office, job_id).names[str(work.id)] == office.basis().assemblies["cleanup"].title
