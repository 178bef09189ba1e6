"""A client erased: not a byte of them is left in the data, the record's chain holds, and no backup brings them back.

Source of what is erased: NIST SP 800-88 rev. 1 calls clearing what a program can reach by its own means; the disk below
it is the owner's (full-disk encryption), which the page says.
"""

import sqlite3
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from sqlalchemy import text

from app.db.append_only import lifted
from app.db.erasures import LIST, Erasures, ListDamaged
from app.db.files import FileStore
from app.db.repositories import emptied, record, record_check
from app.db.rows import rows_of, tables_of
from app.domain.devices import Face
from app.domain.errors import BadValue, NotFound
from app.domain.job import Need, Note, Photo
from app.domain.sharing import Over
from app.services import backups, devices, erasing, jobs, revisions
from app.services.backup_folder import folder_of
from app.services.erasing import Wish
from app.services.jobs import NewJob, begin_job, changed, made, open_job, save
from app.services.office import Office
from tests.offering import offer, sign
from tests.services.test_backups import restored
from tests.services.yard_of_ours import key, told
from tests.web.reaching import let_in

MARK = "Zyxwhitlock"
NAME = f"Linnea {MARK}"
OTHER = "Teodor Asante"


def planted(office: Office) -> UUID:
    """A client whose every text bears a mark, with photos, changes taken back and a device of theirs."""
    first = begin_job(
        office,
        NewJob(name=NAME, phone=f"555 {MARK}", email=f"a@{MARK}.example", street=f"27 {MARK}", title=f"Yard {MARK}"),
        told(),
    )
    client = open_job(office, first).job.client
    save(office, first, (changed("client", client.id, 1, {"private_note": MARK, "second_name": MARK}),), told())
    wanted = (made("need", Need(id=key(51), words=f"Shade for {MARK}")), made("note", Note(id=key(52), words=MARK)))
    save(office, first, wanted, told())
    jobs.undo(office, first, uuid4())
    content = FileStore(office.settings.files).keep(f"a picture of {MARK}".encode())
    save(office, first, (made("photo", Photo(id=key(53), file=content, caption=MARK)),), told())
    gone = FileStore(office.settings.files).keep(f"another of {MARK}".encode())
    save(office, first, (made("photo", Photo(id=key(54), file=gone)),), told())
    save(office, first, jobs.removal(open_job(office, first), "photo", key(54)), told())
    (office.settings.small).mkdir(exist_ok=True)
    (office.settings.small / content).write_bytes(MARK.encode())
    let_in(office, Over.SECURE, Face.CLIENT, first, name=f"{MARK}'s tablet")
    return first


def other(office: Office) -> UUID:
    job_id = begin_job(office, NewJob(name=OTHER, street="5 Mill Race"), told())
    shared = FileStore(office.settings.files).keep(b"a picture of nobody")
    save(office, job_id, (made("photo", Photo(id=key(61), file=shared)),), told())
    return job_id


def places_with(folder: Path, *words: str, but: str = "backups") -> list[str]:
    """Every file below a folder that holds one of the words in any byte."""
    found = []
    for place in sorted(one for one in folder.rglob("*") if one.is_file() and but not in one.parts):
        content = place.read_bytes().lower()
        if any(word.lower().encode() in content for word in words):
            found.append(str(place.relative_to(folder)))
    return found


def held(office: Office, *words: str) -> list[str]:
    """The same of an office: its files byte by byte, and every row of every table, wherever the database lies."""
    found = places_with(office.settings.data, *words)
    with office.database.read() as connection:
        for table in tables_of(connection):
            rows = "\n".join(repr(row) for row in rows_of(connection, table)).lower()
            found += [table.name] if any(word.lower() in rows for word in words) else []
    return found


def broken(office: Office) -> str | None:
    with office.database.read() as connection:
        return record_check.verify(connection) or next(record_check.off_the_record(connection), None)


def gone(office: Office, job_id: UUID, **wish) -> None:
    erasing.erase(office, job_id, Wish(name=NAME, **wish), told())


def test_no_byte_of_the_client_is_left_and_the_chain_holds(office: Office) -> None:
    first, second = planted(office), other(office)
    before = open_job(office, second).job
    assert len(held(office, MARK)) > 8, "rows of client, job, record, device; pictures"
    with office.database.read() as connection:
        entries = record.head(connection), len(record.history(connection, str(first)))
    gone(office, first)
    assert held(office, MARK) == []
    assert broken(office) is None
    assert backups.faults(office) == ()
    with pytest.raises(NotFound):
        open_job(office, first)
    assert open_job(office, second).job == before
    with office.database.read() as connection:
        assert record.head(connection) != entries[0]
        assert emptied.how_many(connection) >= entries[1]
    assert {one.name for one in devices.every_device(office)} == {"A client's device"}
    assert all(one.revoked_at for one in devices.every_device(office))


def test_picture_that_another_job_has_too_stays(office: Office) -> None:
    first, second = planted(office), other(office)
    same = open_job(office, second).job.photos[0].file
    save(office, first, (made("photo", Photo(id=key(55), file=same)),), told())
    gone(office, first)
    assert FileStore(office.settings.files).read(same) == b"a picture of nobody"


def test_number_of_an_erased_job_is_not_given_again(office: Office) -> None:
    first = planted(office)
    number = open_job(office, first).job.head.number
    gone(office, first)
    assert open_job(office, other(office)).job.head.number == number + 1


@pytest.mark.parametrize("name", ["", "Linnea", OTHER])
def test_another_name_erases_nobody(office: Office, name: str) -> None:
    first = planted(office)
    with pytest.raises(BadValue, match="by a slip"):
        erasing.erase(office, first, Wish(name=name), told())
    assert open_job(office, first).job.client.name == NAME
    assert Erasures(office.settings.data).read() == []


def test_signed_papers_stay_until_somebody_says_why_they_go(stocked: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    superseded = revisions.hand_out(stocked, one.id, "offered")
    two = offer(stocked, ready)
    for name in ("Linnea Whitlock", "Joss Whitlock"):
        sign(stocked, ready, two.id, name)
    signed = revisions.hand_out(stocked, two.id, "signed")
    wish = Wish(name="linnea whitlock ")
    with pytest.raises(BadValue, match="signed and not done"):
        erasing.erase(stocked, ready, wish, told())
    erasing.erase(stocked, ready, Wish(name=wish.name, reason="They asked, and the work is off."), told())
    assert [each.id for each in erasing.left_behind(stocked)] == [two.id]
    assert erasing.hand_out_left(stocked, UUID(two.id)) == signed
    kept = {path.read_bytes() for path in stocked.settings.files.glob("??/*")}
    assert superseded not in kept
    assert broken(stocked) is None
    with pytest.raises(BadValue, match="in a sentence"):
        erasing.erase_papers(stocked, ready, "because", told())
    erasing.erase_papers(stocked, ready, "Seven years have gone by.", told())
    assert erasing.left_behind(stocked) == []
    assert held(stocked, "Whitlock", "27 Quarry Bend") == []
    assert signed not in {path.read_bytes() for path in stocked.settings.files.glob("??/*")}
    assert [entry.what.partition(" (")[0] for entry in erasing.erased(stocked)] == [
        "Signed papers erased",
        "A client erased: job 1, signed papers kept",
    ]
    assert (broken(stocked), backups.faults(stocked)) == (None, ())


def test_papers_go_along_where_that_is_asked_with_a_reason(stocked: Office, ready: UUID) -> None:
    two = offer(stocked, ready)
    for name in ("Linnea Whitlock", "Joss Whitlock"):
        sign(stocked, ready, two.id, name)
    erasing.erase(stocked, ready, Wish(name="Linnea Whitlock", papers=True, reason="A court says so."), told())
    assert erasing.left_behind(stocked) == []
    assert held(stocked, "Whitlock", "27 Quarry Bend") == []


def test_backup_from_before_is_erased_again(office: Office) -> None:
    first, second = planted(office), other(office)
    archive = folder_of(office.settings) / "outlay-20270309-150000.zip"
    backups.back_up(office, archive, beside=True)
    gone(office, first)
    assert places_with(folder_of(office.settings), MARK, but="none"), (
        "the backup holds the client, and the page says so"
    )
    office.database.close()
    again = restored(archive, office.settings.data, office.clock)
    assert open_job(again, first).job.client.name == NAME
    assert erasing.again(again) == 1
    kept = next(again.settings.data.glob("before-restore-*")).name
    found = [one for one in places_with(again.settings.data, MARK) if not one.startswith(kept)]
    assert found == []
    assert places_with(again.settings.data / kept, MARK) == [], "what was there before had been erased"
    assert open_job(again, second).job.client.name == OTHER
    assert (broken(again), erasing.again(again)) == (None, 0)
    again.database.close()


@pytest.mark.parametrize(
    "then", ["files", pytest.param("scrub", marks=pytest.mark.sqlite_file("its old pages are looked at"))]
)
def test_killed_in_the_middle_it_is_finished_at_the_next_start(
    office: Office, monkeypatch: pytest.MonkeyPatch, then: str
) -> None:
    first = planted(office)

    def dies(*_all) -> None:
        raise KeyboardInterrupt

    target = (FileStore, "drop") if then == "files" else (type(office.database), "scrub")
    monkeypatch.setattr(*target, dies)
    with pytest.raises(KeyboardInterrupt):
        gone(office, first)
    monkeypatch.undo()
    assert places_with(office.settings.data, MARK)
    assert erasing.again(office) == 0
    assert places_with(office.settings.data, MARK) == []


def test_damaged_list_is_read_from_the_other_place_and_without_either_it_is_said(office: Office) -> None:
    first = planted(office)
    gone(office, first)
    own, beside = office.settings.data / LIST, folder_of(office.settings) / LIST
    assert own.read_bytes() == beside.read_bytes()
    assert MARK.encode() not in own.read_bytes()
    own.write_bytes(b"[{")
    assert erasing.again(office) == 0
    beside.write_bytes(b"")
    with pytest.raises(ListDamaged, match="cannot be read"):
        erasing.again(office)


def test_what_fails_before_the_commit_leaves_everything(office: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    first = planted(office)
    monkeypatch.setattr("app.db.repositories.erasing._keep_number", lambda *_all: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        gone(office, first)
    monkeypatch.undo()
    assert erasing.again(office) == 0
    assert open_job(office, first).job.client.name == NAME
    with pytest.raises(Exception, match="append only"), office.database.write() as connection:
        connection.execute(text("UPDATE record SET who = 'x'"))


def test_emptied_entry_that_nobody_vouches_for_breaks_the_record(office: Office) -> None:
    """Emptying an entry without saying so, or writing anything into one that was emptied, is seen."""
    first = planted(office)
    with office.database.write() as connection, lifted(connection):
        rows = emptied.entries_about(connection, (str(first),), "none")
        list(emptied.empty(connection, rows[:1]))
    assert "broken at entry" in (broken(office) or "")


@pytest.mark.sqlite_file("it is written to past the program")
@pytest.mark.parametrize("column", ["body", "content_hash", "previous_hash", "hash"])
def test_erased_entry_that_is_changed_afterwards_is_seen(office: Office, column: str) -> None:
    first = planted(office)
    gone(office, first)
    raw = sqlite3.connect(office.settings.database)
    raw.execute("DROP TRIGGER record_never_update")
    raw.execute(f"UPDATE record SET {column} = {column} || ' ' WHERE what = 'Erased' AND seq > 3")
    raw.commit()
    raw.close()
    assert "broken at entry" in (broken(office) or "")


def test_same_change_hashes_differently_twice(office: Office) -> None:
    """Who guesses what an erased entry held cannot prove it by the hash that stays: chance was hashed along."""
    with office.database.write() as connection:
        salts = set()
        for _ in range(8):
            entry = record.Change(id=uuid4(), job_id=None, edits=(), who="the owner", when=office.clock(), what="x")
            record.append(connection, firm_id=office.firm_id, kind="device", change=entry, answer={})
            found = record.find(connection, str(entry.id))
            assert found is not None
            salts.add(found.change().salt)
    assert {len(one) for one in salts} == {32}
    assert len(salts) == 8


def test_what_was_set_aside_is_named_by_its_path(office: Office) -> None:
    first, names = planted(office), ("before-move-2027-03-09-150000.db", "before-restore-1", "before-update-0039.db")
    for name in names:
        (office.settings.data / name).touch()
    assert [one.name for one in erasing.outlook(office, first).before_restore] == list(names)
