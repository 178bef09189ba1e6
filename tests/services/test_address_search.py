"""The address search: fragments of street, name, phone; the index goes with the rows, and nothing stays of who is gone."""

from uuid import UUID

import pytest
from sqlalchemy import delete, select

from app.db.repositories import addresses
from app.db.tables.addresses import ADDRESS_PART, ADDRESS_WORD
from app.services import changes, erasing, jobs
from app.services.address_search import find, search
from app.services.jobs import NewJob, changed
from app.services.office import Office, open_office
from tests.offering import order


def begun(office: Office, name: str, street: str, phone: str = "", town: str = "Alder Ferry") -> UUID:
    return jobs.begin_job(office, NewJob(name=name, street=street, town=town, phone=phone, title="Back yard"), order())


def names(office: Office, words: str) -> list[str]:
    return [one.client for one in find(office, words)]


@pytest.fixture
def three(office: Office) -> tuple[UUID, UUID, UUID]:
    return (
        begun(office, "Linnea Whitlock", "27 Quarry Bend", "555 0117"),
        begun(office, "Teodor Asante", "127 Quarryman's Court"),
        begun(office, "Inés Peña", "9 Mill Race Road", town="Harrow Point"),
    )


def test_fragments_find_whole_words_first(office: Office, three: tuple[UUID, ...]) -> None:
    assert names(office, "quarry") == ["Linnea Whitlock", "Teodor Asante"]
    assert names(office, "quarry 27") == ["Linnea Whitlock", "Teodor Asante"], "127 has a 27 in it, farther off"
    assert names(office, "27 QUARRY ben") == ["Linnea Whitlock"]
    assert names(office, "itlo") == ["Linnea Whitlock"]
    assert names(office, "0117") == ["Linnea Whitlock"]
    assert names(office, "pena harrow") == ["Inés Peña"]
    assert names(office, "ferry") == ["Teodor Asante", "Linnea Whitlock"], "the newest first"
    assert names(office, "quarry moon") == []
    for nothing in ("", "  ", "%", "'; DROP TABLE job; --x", "\x00", "🪴"):
        assert names(office, nothing) == []
    assert search(office, "whitlock").answer is not None, "the only one stands open at once"
    assert search(office, "quarry").answer is None
    opened = search(office, "quarry", str(three[1])).answer
    assert opened is not None
    assert opened.job_id == str(three[1])


def test_index_goes_with_every_change_and_its_undoing(office: Office, three: tuple[UUID, ...]) -> None:
    first = three[0]
    opened = jobs.open_job(office, first)
    client = opened.job.client.id
    edits = (
        changed("client", client, opened.version("client", client), {"name": "Linnea Holm"}),
        changed("job", first, opened.version("job", first), {"street": "4 Larkspur Court"}),
    )
    jobs.save(office, first, edits, order())
    assert names(office, "whitlock") == []
    assert names(office, "larksp holm") == ["Linnea Holm"]
    changes.undo(
        office.database,
        office.firm_id,
        job_id=first,
        who=office.who(),
        change_id=order().change_id,
        when=office.clock(),
    )
    assert names(office, "whitlock quarry") == ["Linnea Whitlock"]
    assert names(office, "larksp") == []


def test_what_moves_no_word_leaves_the_index_alone(
    office: Office, three: tuple[UUID, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    followed: list[object] = []
    monkeypatch.setattr(addresses, "follow", lambda *given: followed.append(given))
    opened = jobs.open_job(office, three[0])
    jobs.save(
        office, three[0], (changed("job", three[0], opened.version("job", three[0]), {"next_step": "Call"}),), order()
    )
    assert followed == []


def test_nothing_stays_of_who_is_erased(office: Office, three: tuple[UUID, ...]) -> None:
    erasing.erase(office, three[2], erasing.Wish(name="Inés Peña", reason="They asked for it."), order())
    assert names(office, "mill race") == []
    with office.database.read() as connection:
        words = set(connection.execute(select(ADDRESS_WORD.c.word)).scalars())
        parts = set(connection.execute(select(ADDRESS_PART.c.word)).scalars())
    assert parts == words
    assert not {"pena", "ines", "harrow"} & words
    assert names(office, "quarry bend") == ["Linnea Whitlock"]


def test_a_database_without_an_index_gets_one_when_it_is_opened(office: Office, three: tuple[UUID, ...]) -> None:
    with office.database.write() as connection:
        connection.execute(delete(ADDRESS_WORD))
        connection.execute(delete(ADDRESS_PART))
    assert names(office, "quarry") == []
    again = open_office(office.settings, office.shipped, office.clock)
    assert names(again, "quarry ben") == ["Linnea Whitlock"]
    again.database.close()


def test_any_number_of_jobs_is_asked_by_one_statement_along_keys(office: Office, three: tuple[UUID, ...]) -> None:
    if office.settings.server:
        return
    seen: list[str] = []
    pieces = ("quarry", "27")
    with office.database.read() as connection:
        query = addresses.query(office.firm_id, pieces).compile(connection, compile_kwargs={"literal_binds": True})
        seen = [row[3] for row in connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {query}")]
    assert any("address_part" in one and "part>?" in one for one in seen), seen
    assert not any(one.startswith("SCAN address") for one in seen), seen
