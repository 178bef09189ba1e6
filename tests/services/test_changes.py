"""One way to change anything: replay, conflict, merge, chain, undo, record."""

import threading
from uuid import UUID, uuid4

import pytest
from sqlalchemy import text

from app.db.repositories import counters, record_check, things
from app.db.session import DatabaseBusy, database_of
from app.domain.change import Change, Edit
from app.domain.errors import BadValue, NotFound, Refused, Stale
from app.domain.job import Zone
from app.services import changes, jobs
from app.services.jobs import Order, changed, made, open_job, removal, save, undo
from app.services.office import Office


def set_fields(office: Office, job_id: UUID, kind: str, thing_id: object, version: int, *, follows=None, **fields):
    order = Order(change_id=uuid4(), follows=follows, what="a test")
    return save(office, job_id, (changed(kind, thing_id, version, fields),), order)


def test_same_change_sent_twice_is_applied_once(office: Office, job_id: UUID) -> None:
    order = Order(change_id=uuid4(), what="title")
    edit = changed("job", job_id, 1, {"title": "Side yard"})
    first = save(office, job_id, (edit,), order)
    again = save(office, job_id, (edit,), order)
    assert again.again
    assert not first.again
    assert again.versions == first.versions
    assert open_job(office, job_id).version("job", job_id) == 2


def test_two_people_on_different_fields_both_land(office: Office, job_id: UUID) -> None:
    set_fields(office, job_id, "job", job_id, 1, title="Side yard")
    set_fields(office, job_id, "job", job_id, 1, street="27 Quarry Bend")
    head = open_job(office, job_id).job.head
    assert (head.title, head.street) == ("Side yard", "27 Quarry Bend")


def test_stale_same_field_is_refused_with_both_values(office: Office, job_id: UUID) -> None:
    set_fields(office, job_id, "job", job_id, 1, title="Side yard")
    with pytest.raises(Stale) as stale:
        set_fields(office, job_id, "job", job_id, 1, title="Front yard")
    assert stale.value.theirs == {"title": "Side yard"}
    assert stale.value.yours == {"title": "Front yard"}
    assert open_job(office, job_id).job.head.title == "Side yard"


def test_stale_field_left_as_it_was_read_is_no_conflict(office: Office, job_id: UUID) -> None:
    set_fields(office, job_id, "job", job_id, 1, title="Side yard")
    set_fields(office, job_id, "job", job_id, 1, title="Back yard", street="1 New Street")  # title as it was read
    head = open_job(office, job_id).job.head
    assert (head.title, head.street) == ("Side yard", "1 New Street")


def test_chain_of_one_device_is_not_stale_against_itself(office: Office, job_id: UUID) -> None:
    first = set_fields(office, job_id, "job", job_id, 1, title="One")
    set_fields(office, job_id, "job", job_id, 1, title="Two", follows=UUID(first.change_id))
    assert open_job(office, job_id).job.head.title == "Two"


def test_chain_of_one_device_is_stale_against_what_somebody_else_changed_since(office: Office, job_id: UUID) -> None:
    first = set_fields(office, job_id, "job", job_id, 1, title="One")
    set_fields(office, job_id, "job", job_id, 2, title="Bo's")
    with pytest.raises(Stale):
        set_fields(office, job_id, "job", job_id, 1, title="Two", follows=UUID(first.change_id))
    assert open_job(office, job_id).job.head.title == "Bo's"


def test_long_chain_of_one_device_is_not_stale_against_itself_whatever_it_changed_in_between(
    office: Office, job_id: UUID
) -> None:
    site = open_job(office, job_id).job.site.id
    first = set_fields(office, job_id, "job", job_id, 1, title="One")
    between = set_fields(office, job_id, "site", site, 1, seen_on="2027-03-09", follows=UUID(first.change_id))
    undone = undo(office, job_id, uuid4(), follows=UUID(between.change_id))
    set_fields(office, job_id, "job", job_id, 1, title="Two", follows=UUID(undone.change_id))
    assert open_job(office, job_id).job.head.title == "Two"


def test_chain_of_one_device_does_not_overwrite_what_came_before_its_first_change(office: Office, job_id: UUID) -> None:
    set_fields(office, job_id, "job", job_id, 1, street="27 Quarry Bend")  # somebody else, unseen by the device
    first = set_fields(office, job_id, "job", job_id, 1, title="One", street="")  # whole forms of what was read
    set_fields(office, job_id, "job", job_id, 1, title="Two", street="", follows=UUID(first.change_id))
    head = open_job(office, job_id).job.head
    assert (head.title, head.street) == ("Two", "27 Quarry Bend")
    with pytest.raises(Stale):
        set_fields(office, job_id, "job", job_id, 1, street="5 Mill Race", follows=UUID(first.change_id))


def test_chain_ends_where_a_change_of_it_was_never_saved(office: Office, job_id: UUID) -> None:
    set_fields(office, job_id, "job", job_id, 1, title="One")
    with pytest.raises(Stale):
        set_fields(office, job_id, "job", job_id, 1, title="Two", follows=uuid4())


def test_thing_somebody_changed_since_is_not_removed_unseen(office: Office, job_id: UUID) -> None:
    zone = Zone(id=uuid4(), letter="A", title="Terrace")
    save(office, job_id, (made("zone", zone),), Order(change_id=uuid4()))
    seen = removal(open_job(office, job_id), "zone", zone.id)
    set_fields(office, job_id, "zone", zone.id, 1, title="Patio")
    with pytest.raises(Stale) as stale:
        save(office, job_id, seen, Order(change_id=uuid4()))
    assert stale.value.theirs["title"] == "Patio"
    save(office, job_id, removal(open_job(office, job_id), "zone", zone.id), Order(change_id=uuid4()))
    assert open_job(office, job_id).job.zones == ()


def test_removing_what_is_gone_changes_nothing_and_raises_no_counter(office: Office, job_id: UUID) -> None:
    gone = Edit(kind="zone", thing_id=str(uuid4()), version=1, before={}, after=None)
    before = open_job(office, job_id).counter
    applied = save(office, job_id, (gone,), Order(change_id=uuid4()))
    assert applied.versions == {}
    assert applied.counter == before == open_job(office, job_id).counter


def test_unknown_fields_are_named_in_the_order_of_the_alphabet(office: Office, job_id: UUID) -> None:
    odd = dict.fromkeys(("heft", "glow", "fizz", "echo", "dusk", "cove", "bark", "able"), "x")
    with pytest.raises(Refused, match="able, bark, cove, dusk, echo, fizz, glow, heft"):
        set_fields(office, job_id, "job", job_id, 1, **odd)


def test_change_of_a_job_and_of_the_firm_at_once_is_refused(office: Office, job_id: UUID) -> None:
    title = changed("job", job_id, 1, {"title": "Side yard"})
    name = changed("firm", office.firm_id, 1, {"name": "Brackenfold Yards"})
    for scope in (job_id, None):
        with pytest.raises(Refused, match="not about both"):
            save(office, scope, (title, name), Order(change_id=uuid4()))
    assert open_job(office, job_id).job.head.title == "Back yard"


def test_client_belongs_to_no_one_job(office: Office, job_id: UUID) -> None:
    client = open_job(office, job_id).job.client
    with office.database.read() as connection:
        assert things.read_thing(connection, office.firm_id, "client", str(client.id)).job_id is None
        assert things.read_thing(connection, office.firm_id, "job", str(job_id)).job_id == str(job_id)


def test_undo_takes_back_own_last_edit_and_then_the_one_before(office: Office, job_id: UUID) -> None:
    set_fields(office, job_id, "job", job_id, 1, title="One")
    set_fields(office, job_id, "job", job_id, 2, title="Two")
    undo(office, job_id, uuid4())
    assert open_job(office, job_id).job.head.title == "One"
    undo(office, job_id, uuid4())
    assert open_job(office, job_id).job.head.title == "Back yard"


def test_undo_brings_back_a_removed_zone_with_what_hung_on_it(office: Office, job_id: UUID) -> None:
    zone = Zone(id=uuid4(), letter="A", title="Terrace")
    save(office, job_id, (made("zone", zone),), Order(change_id=uuid4(), what="zone"))
    opened = open_job(office, job_id)
    save(office, job_id, removal(opened, "zone", zone.id), Order(change_id=uuid4(), what="remove"))
    assert open_job(office, job_id).job.zones == ()
    undo(office, job_id, uuid4())
    assert open_job(office, job_id).job.zones == (zone,)
    assert open_job(office, job_id).version("zone", zone.id) == 3  # made 1, removed 2, back 3


def test_undo_of_a_field_somebody_changed_since_asks(office: Office, job_id: UUID) -> None:
    set_fields(office, job_id, "job", job_id, 1, title="Mine")
    other = Change(
        id=uuid4(),
        job_id=job_id,
        who="Bo",
        when=office.clock(),
        what="title",
        edits=(Edit(kind="job", thing_id=str(job_id), version=2, before={}, after={"title": "Bo's"}),),
    )
    changes.apply(office.database, office.firm_id, other)
    with pytest.raises(Stale):
        undo(office, job_id, uuid4())
    assert open_job(office, job_id).job.head.title == "Bo's"


def test_undo_with_nothing_to_undo_says_so(office: Office, job_id: UUID) -> None:
    undo(office, job_id, uuid4())  # takes the new job itself back
    with pytest.raises(Refused):
        undo(office, job_id, uuid4())


def test_change_of_a_removed_thing_is_refused(office: Office, job_id: UUID) -> None:
    with pytest.raises(NotFound):
        set_fields(office, job_id, "zone", uuid4(), 1, title="Gone")


def test_bad_value_changes_nothing(office: Office, job_id: UUID) -> None:
    before = open_job(office, job_id)
    with pytest.raises(BadValue):
        set_fields(office, job_id, "job", job_id, 1, budget_low_cents="a lot")
    after = open_job(office, job_id)
    assert after.job == before.job
    assert after.counter == before.counter


def test_unknown_field_is_refused(office: Office, job_id: UUID) -> None:
    with pytest.raises(Refused):
        set_fields(office, job_id, "job", job_id, 1, firm_id="another")


def test_record_chain_holds_and_a_changed_body_is_found(office: Office, job_id: UUID) -> None:
    set_fields(office, job_id, "job", job_id, 1, title="One")
    with office.database.read() as connection:
        assert record_check.verify(connection) is None
    held_by = "record_never_changes ON record" if office.settings.server else "record_never_update"
    with office.database.write() as connection:
        connection.exec_driver_sql(f"DROP TRIGGER {held_by}")
        connection.exec_driver_sql("UPDATE record SET body = replace(body, 'One', 'Two')")
    with office.database.read() as connection:
        assert "broken" in (record_check.verify(connection) or "")


@pytest.mark.parametrize(
    "verb",
    [
        "UPDATE record SET who = 'x'",
        "DELETE FROM record",
        pytest.param(
            "INSERT OR REPLACE INTO record SELECT * FROM record",
            marks=pytest.mark.sqlite_file("a statement only SQLite knows"),
        ),
    ],
)
def test_record_refuses_to_be_rewritten(office: Office, job_id: UUID, verb: str) -> None:
    with pytest.raises(Exception, match="append only"), office.database.write() as connection:
        connection.execute(text(verb))


def test_six_threads_of_thirty_edits_lose_none(office: Office, job_id: UUID) -> None:
    with office.database.write() as connection:
        counters.raise_counter(connection, "test")

    def work() -> None:
        own = database_of(office.settings)
        for _ in range(30):
            while True:
                try:
                    with own.write() as connection:
                        counters.raise_counter(connection, "test")
                    break
                except DatabaseBusy:
                    continue
        own.close()

    threads = [threading.Thread(target=work) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with office.database.read() as connection:
        assert counters.counter(connection, "test") == 181


@pytest.mark.sqlite_file("its settings; those of the server are looked at in tests/db/test_postgres.py")
@pytest.mark.on_disk
def test_commit_is_synced_to_disk(office: Office) -> None:
    with office.database.read() as connection:
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1


def test_job_list_finds_by_client_and_orders_by_day(office: Office, job_id: UUID) -> None:
    set_fields(office, job_id, "job", job_id, 1, next_day="2027-04-01")
    later = jobs.begin_job(office, jobs.NewJob(name="Bo Lind"), Order(change_id=uuid4()))
    set_fields(office, later, "job", later, 1, next_day="2027-03-20")
    with office.database.read() as connection:
        lines = things.list_jobs(connection, office.firm_id)
        assert [line.client for line in lines] == ["Bo Lind", "Linnea Whitlock"]
        assert [line.client for line in things.list_jobs(connection, office.firm_id, search="whit")] == [
            "Linnea Whitlock"
        ]
        assert things.list_jobs(connection, office.firm_id, search="%") == []
