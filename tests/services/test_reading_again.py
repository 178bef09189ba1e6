"""A job read again after an edit is the job read afresh, and only what was edited is read."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, fields
from decimal import Decimal
from random import Random
from uuid import UUID, uuid4

import pytest
from sqlalchemy import event

from app.config import Settings
from app.db.repositories.job_rows import FEW, SINGLE
from app.db.session import database_of
from app.domain.basis import Material, Price
from app.domain.change import Edit
from app.domain.errors import NotFound, Refused
from app.domain.job import JOB_THINGS, Need, Zone
from app.domain.plan.shapes import rectangle
from app.interchange.library_file import load_library
from app.services import jobs
from app.services.changes import fields_of
from app.services.jobs import NewJob, Order, begin_job, changed, made, open_job, removal, save
from app.services.office import Office, open_office
from app.services.zones import NewZone, add_zone
from tests.conftest import TestClock


def order() -> Order:
    return Order(change_id=uuid4(), what="a test")


@dataclass
class Asked:
    """Statements sent, and rows that came back for those that read."""

    statements: list[str] = field(default_factory=list)
    transactions: int = 0

    def reads(self, table: str) -> int:
        return sum(f"FROM {table} " in one.replace("\n", "") for one in self.statements)


@contextmanager
def asked_of(office: Office) -> Iterator[Asked]:
    """What the database is asked until the block ends."""
    found, engine = Asked(), office.database._engine

    def statement(_connection, _cursor, text, *_rest) -> None:
        if not text.startswith("BEGIN"):
            found.statements.append(text)

    def begun(_connection) -> None:
        found.transactions += 1

    event.listen(engine, "before_cursor_execute", statement)
    event.listen(engine, "begin", begun)
    yield found
    event.remove(engine, "before_cursor_execute", statement)
    event.remove(engine, "begin", begun)


def afresh(office: Office, job_id: UUID) -> jobs.OpenJob:
    """The job as a process that has just begun sees it."""
    other = Office(office.settings, database_of(office.settings), office.firm_id, office.shipped)
    try:
        return open_job(other, job_id)
    finally:
        other.database.close()


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    shipped = load_library().basis()
    office = open_office(Settings(data=tmp_path_factory.mktemp("shop")), shipped, TestClock())
    yield office
    office.database.close()


def one_edit(any_of: Random, office: Office, job_id: UUID) -> None:
    """Something a person may do to a job or to the firm."""
    opened = open_job(office, job_id)
    job, what = opened.job, any_of.choice(EDITS)
    words = f"words {any_of.randrange(10**6)}"
    if what == "zone":
        new = NewZone(title=words, outline=rectangle(any_of.randrange(2, 30), 9), assembly="unit-pavers")
        add_zone(office, job_id, new, order())
    elif what == "needs":
        count = any_of.choice([1, 2, FEW + 2])
        needs = [Need(id=uuid4(), words=words, position=any_of.randrange(3)) for _ in range(count)]
        save(office, job_id, tuple(made("need", one) for one in needs), order())
    elif what in {"job", "client"}:
        own = job.head if what == "job" else job.client
        fields_now = {"title": words} if what == "job" else {"name": words}
        save(office, job_id, (changed(what, own.id, opened.version(what, own.id), fields_now),), order())
    elif what == "zone's words or place" and job.zones:
        zone = any_of.choice(job.zones)
        new_fields = any_of.choice([{"words": words}, {"position": any_of.randrange(9)}])
        save(office, job_id, (changed("zone", zone.id, opened.version("zone", zone.id), new_fields),), order())
    elif what == "removal":
        many = {kind: getattr(job, name) for kind, (_, name) in JOB_THINGS.items() if kind not in SINGLE}
        kind = any_of.choice([kind for kind, things in many.items() if things])
        save(office, job_id, removal(opened, kind, any_of.choice(many[kind]).id), order())
    elif what == "undo" and opened.undo and not opened.undo.startswith("New job"):
        jobs.undo(office, job_id, uuid4())
    elif what == "price":
        price = Price(material=words, unit_price=Decimal(any_of.randrange(1, 99)))
        edit = Edit(kind="price", thing_id=price.material, version=0, before=None, after=fields_of(price, "price"))
        save(office, None, (edit,), order())
    elif what == "firm":
        save(office, None, (changed("firm", office.firm_id, 10**6, {"owner": words}),), order())


EDITS = ("zone", "needs", "job", "client", "zone's words or place", "removal", "undo", "price", "firm")


@pytest.mark.parametrize("seed", range(8))
def test_job_read_again_after_any_edits_is_the_job_read_afresh(shop: Office, seed: int) -> None:
    job_id, any_of = begin_job(shop, NewJob(name="Linnea Whitlock"), Order(change_id=uuid4())), Random(seed)
    for _ in range(14):
        one_edit(any_of, shop, job_id)
        again, anew = open_job(shop, job_id), afresh(shop, job_id)
        assert again == anew
        assert list(again.basis.prices) == list(anew.basis.prices)


def test_edit_reads_the_row_it_changed_and_nothing_else(shop: Office) -> None:
    job_id = begin_job(shop, NewJob(name="Teodor Asante"), order())
    for at in range(4):
        add_zone(shop, job_id, NewZone(title=f"Bed {at}", outline=rectangle(9, 4), assembly="planting-bed"), order())
    before = open_job(shop, job_id)
    edit = changed("zone", before.job.zones[1].id, 1, {"words": "under the pear tree"})
    with asked_of(shop) as asked:
        save(shop, job_id, (edit,), order())
        after = open_job(shop, job_id)
    assert after.job.zones[1].words == "under the pear tree"
    untouched = {one.name for one in fields(after.job)} - {"zones"}
    assert all(getattr(after.job, name) is getattr(before.job, name) for name in untouched)
    assert [a is b for a, b in zip(after.job.zones, before.job.zones, strict=True)] == [True, False, True, True]
    assert asked.reads("zone") == 2  # as it was before the edit, and after it
    assert not any(asked.reads(table) for table in ("alternative", "work", "site", "price", "material"))
    assert asked.transactions <= 2 + looks(shop)
    assert len(asked.statements) <= 12 + looks(shop)


def looks(office: Office) -> int:
    """Transactions that it takes to see that nobody wrote: a file tells so by its count of commits."""
    return 1 if office.database.server else 0


def test_job_that_nobody_touched_is_one_look_at_most(shop: Office) -> None:
    job_id = begin_job(shop, NewJob(name="Teodor Asante"), order())
    before = open_job(shop, job_id)
    with asked_of(shop) as asked:
        again = open_job(shop, job_id)
    assert (again.job is before.job, again.basis is before.basis) == (True, True)
    assert (asked.transactions, len(asked.statements)) == (looks(shop), looks(shop))


@pytest.mark.sqlite_file("a file counts its commits")
def test_database_stands_until_somebody_writes_here_or_elsewhere(shop: Office) -> None:
    stood = shop.database.stands()
    with shop.database.read() as connection:
        assert shop.database.stands_in(connection) == stood
    begin_job(shop, NewJob(name="Teodor Asante"), order())
    own = shop.database.stands()
    other = open_office(shop.settings, shop.shipped, shop.clock)
    between = shop.database.stands()
    begin_job(other, NewJob(name="Priya Lindqvist"), order())
    other.database.close()
    assert stood != own == between != shop.database.stands()


@pytest.mark.sqlite_file("a file counts its commits")
def test_what_another_writes_after_a_look_is_not_missed_though_it_was_there_before_the_next(shop: Office) -> None:
    """The count is of the very picture that was looked at: a commit in between is news to the next request."""
    other = open_office(shop.settings, shop.shipped, shop.clock)
    with shop.database.read() as connection:
        shop.basis_in(connection)
        save(other, None, (changed("firm", shop.firm_id, 10**6, {"owner": "Ruth Hallam"}),), order())
        other.database.close()
    assert shop.firm().owner == "Ruth Hallam"


def test_within_one_request_nothing_is_looked_at_twice_until_it_writes(shop: Office) -> None:
    job_id = begin_job(shop, NewJob(name="Teodor Asante"), order())
    with shop.database.request(), asked_of(shop) as asked:
        first = open_job(shop, job_id)
        shop.firm()
        assert open_job(shop, job_id) is first
        assert asked.transactions == 1
        save(shop, job_id, (changed("job", job_id, 1, {"title": "Side yard"}),), order())
        assert open_job(shop, job_id).job.head.title == "Side yard"


def test_what_another_process_writes_is_seen_by_the_next_request(shop: Office) -> None:
    job_id = begin_job(shop, NewJob(name="Teodor Asante"), order())
    with shop.database.request():
        open_job(shop, job_id)
    other = open_office(shop.settings, shop.shipped, shop.clock)
    save(other, job_id, (changed("job", job_id, 1, {"title": "Side yard"}),), order())
    save(other, None, (changed("firm", shop.firm_id, 10**6, {"owner": "Maren Oduya"}),), order())
    other.database.close()
    with shop.database.request():
        assert open_job(shop, job_id).job.head.title == "Side yard"
        assert shop.who() == "Maren Oduya"


def test_request_that_begins_while_another_waits_makes_it_look_again(shop: Office) -> None:
    job_id = begin_job(shop, NewJob(name="Teodor Asante"), order())
    with shop.database.request():
        open_job(shop, job_id)
        with shop.database.request(), asked_of(shop) as inner:
            open_job(shop, job_id)
        with asked_of(shop) as outer:
            open_job(shop, job_id)
    assert (inner.transactions, outer.transactions) == (looks(shop), looks(shop))


@pytest.mark.sqlite_file("an earlier one is put back under an open office by copying the file")
def test_job_of_a_restored_database_is_read_whole(office: Office, job_id: UUID) -> None:
    """The same entries up to a point, others after it: as many changes, but not the same."""
    earlier = office.settings.database.read_bytes() if office.database.close() is None else b""
    save(office, job_id, (changed("job", job_id, 1, {"title": "Side yard"}),), order())
    assert open_job(office, job_id).job.head.title == "Side yard"
    office.database.close()
    office.settings.database.write_bytes(earlier)
    save(office, job_id, (changed("job", job_id, 1, {"title": "Front yard"}),), order())
    assert open_job(office, job_id).job.head.title == "Front yard"


def test_client_edited_through_another_job_is_seen(office: Office, job_id: UUID) -> None:
    client = open_job(office, job_id).job.client
    second = begin_job(office, NewJob(name="Somebody"), order())
    save(office, second, (changed("job", second, 1, {"client_id": str(client.id)}),), order())
    assert open_job(office, second).job.client == client
    save(office, second, (changed("client", client.id, 1, {"name": "Joss Whitlock"}),), order())
    assert open_job(office, job_id).job.client.name == "Joss Whitlock"
    assert open_job(office, job_id).version("client", client.id) == 2


def test_things_come_in_the_order_of_position_then_id(shop: Office) -> None:
    job_id = begin_job(shop, NewJob(name="Teodor Asante"), order())
    zones = [Zone(id=UUID(int=number), position=place) for number, place in ((3, 1), (1, 1), (2, 0))]
    for one in zones:
        save(shop, job_id, (made("zone", one),), order())
        open_job(shop, job_id)
    assert [one.id.int for one in open_job(shop, job_id).job.zones] == [2, 1, 3]
    assert [one.id.int for one in afresh(shop, job_id).job.zones] == [2, 1, 3]


def test_job_taken_back_is_gone(office: Office, job_id: UUID) -> None:
    open_job(office, job_id)
    jobs.undo(office, job_id, uuid4())
    with pytest.raises(NotFound):
        open_job(office, job_id)


def test_change_of_the_firm_holds_nothing_of_a_job_and_the_other_way_round(office: Office, job_id: UUID) -> None:
    with pytest.raises(Refused):
        save(office, None, (changed("job", job_id, 1, {"title": "Side yard"}),), order())
    stone = Material(key="stone", title="Stone", role="base", buy="ton")
    edit = Edit(kind="material", thing_id="stone", version=0, before=None, after=fields_of(stone, "material"))
    with pytest.raises(Refused):
        save(office, job_id, (edit,), order())
    assert open_job(office, job_id).job.head.title != "Side yard"
