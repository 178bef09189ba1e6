"""A job taken along to a second machine and brought back: to the cent, field by field, what was signed away whole."""

import asyncio
import zipfile
from collections.abc import Iterator
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from app.config import Settings
from app.db.files import FileStore
from app.db.repositories import record, record_check, takings
from app.db.repositories.revisions import next_number
from app.domain.change import Edit
from app.domain.errors import BadValue, NotFound, OutlayError, Refused
from app.domain.job import Note, Photo, PlaceKind, Stage, Work, Zone
from app.interchange import archive
from app.interchange.along_file import read_along
from app.services import backups, bringing_back, erasing, held_editions, jobs, revisions
from app.services.bringing_back import Look
from app.services.changes import fields_of
from app.services.jobs import changed, made, open_job, save
from app.services.office import Office, open_office
from app.services.opening_along import back_file, open_along, read_file
from app.services.sheets import sheet
from app.services.takings import file_of, lift, marks, of_job, take_along
from app.services.zones import NewZone, add_zone
from tests.conftest import TestClock
from tests.offering import offer, order, sign
from tests.services.yard_of_ours import LIBRARY, priced


@pytest.fixture
def away(tmp_path: Path, stocked: Office) -> Iterator[Office]:
    """Another machine: the same library, another firm's data, another price book, a clock an hour on."""
    clock = TestClock()
    clock.now = stocked.clock.now.replace(hour=17)  # type: ignore[attr-defined]
    office = open_office(Settings(data=tmp_path / "away"), stocked.shipped, clock, LIBRARY.cautions)
    firm = changed("firm", office.firm_id, 1, {"name": "The laptop", "contingency": "0.4"})
    save(office, None, (firm,), order())
    priced(office, *list(LIBRARY.materials)[:60])
    yield office
    office.database.close()


@pytest.fixture
def taken(stocked: Office, ready: UUID, away: Office) -> UUID:
    """The job, open at both."""
    one = take_along(stocked, ready, "the laptop in the bag", order())
    assert open_along(away, read_file(file_of(stocked, one)), order()) == ready
    return ready


def edit(office: Office, job_id: UUID, kind: str, thing_id: object, **fields: object) -> None:
    opened = open_job(office, job_id)
    save(office, job_id, (changed(kind, thing_id, opened.version(kind, thing_id), fields),), order(f"edit {kind}"))


def come_back(office: Office, away: Office, job_id: UUID) -> bytes:
    del office
    return back_file(away, job_id, of_job(away, job_id)[0])


def looked(office: Office, content: bytes) -> tuple[UUID, str]:
    return asyncio.run(bringing_back.receive(office, content))


def brought(office: Office, content: bytes, **picks: str) -> Look:
    job_id, name = looked(office, content)
    seen = open_job(office, job_id).counter
    chosen = {
        one.id: picks.get(one.name or "whole", "") for one in bringing_back.look(office, job_id, name).merge.questions
    }
    return bringing_back.take_in(office, job_id, name, chosen, seen, order())


def state_of(office: Office, job_id: UUID) -> tuple[object, ...]:
    opened = open_job(office, job_id)
    with office.database.read() as connection:
        return (opened.job, opened.counter, record.head(connection), revisions.of_job(office, job_id))


def test_it_is_the_same_job_away_and_costs_the_same_to_the_cent_with_another_book(
    stocked: Office, away: Office, taken: UUID
) -> None:
    here, there = sheet(stocked, taken), sheet(away, taken)
    assert here.job.zones == there.job.zones
    assert here.estimate.price_cents == there.estimate.price_cents > 0
    assert [line.cents for line in here.estimate.lines] == [line.cents for line in there.estimate.lines]
    assert there.basis.firm.name == "Brackenfold Yards"


def test_job_is_marked_at_both_and_stays_editable(stocked: Office, away: Office, taken: UUID) -> None:
    (mark,) = marks(stocked).values()
    assert (mark.lent, mark.name, mark.job_id) == (True, "the laptop in the bag", str(taken))
    assert marks(away)[str(taken)].lent is False
    edit(stocked, taken, "job", taken, title="Back yard, upper half")
    assert open_job(stocked, taken).job.head.title == "Back yard, upper half"


def test_file_of_a_taking_is_the_same_however_often_it_is_asked_for(stocked: Office, ready: UUID) -> None:
    one = take_along(stocked, ready, "the laptop", order())
    before = file_of(stocked, one)
    edit(stocked, ready, "job", ready, title="Other")
    assert file_of(stocked, of_job(stocked, ready)[0]) == before


def test_disjoint_work_comes_together_as_one_change_that_can_be_taken_back(
    stocked: Office, away: Office, taken: UUID
) -> None:
    before = open_job(stocked, taken)
    zone, client = before.job.zones[0], before.job.client
    edit(stocked, taken, "zone", zone.id, title="Dining terrace")
    edit(away, taken, "client", client.id, phone="555 0134")
    photo = FileStore(away.settings.files).keep(b"the gate, with a tape across it")
    new = (
        ("photo", Photo(id=uuid4(), file=photo, caption="Gate")),
        ("note", Note(id=uuid4(), words="Dog in the yard")),
    )
    save(away, taken, tuple(made(kind, value) for kind, value in new), order("photo and note"))
    mine = open_job(stocked, taken)
    found = brought(stocked, come_back(stocked, away, taken))
    job = open_job(stocked, taken).job
    assert found.merge.questions == ()
    assert (job.zones[0].title, job.client.phone, job.notes[0].words) == (
        "Dining terrace",
        "555 0134",
        "Dog in the yard",
    )
    assert revisions.files_of(stocked).read(job.photos[0].file) == b"the gate, with a tape across it"
    assert marks(stocked) == {}
    with stocked.database.read() as connection:
        kinds = [entry.kind for entry in record.history(connection, str(taken), limit=2)]
    assert kinds == ["return", "change"]
    jobs.undo(stocked, taken, uuid4())
    assert open_job(stocked, taken).job == mine.job
    assert marks(stocked)[str(taken)].lent  # taken back: it is away again
    brought(stocked, come_back(stocked, away, taken))
    assert open_job(stocked, taken).job == job


@pytest.mark.parametrize("pick", ["here", "away"])
def test_field_changed_at_both_is_asked_and_the_pick_holds(
    stocked: Office, away: Office, taken: UUID, pick: str
) -> None:
    zone = open_job(stocked, taken).job.zones[0]
    edit(stocked, taken, "zone", zone.id, title="Dining terrace")
    edit(away, taken, "zone", zone.id, title="Supper terrace", private_note="Slope is worse")
    content = come_back(stocked, away, taken)
    with pytest.raises(BadValue, match="Choose one"):
        brought(stocked, content)
    brought(stocked, content, title=pick)
    held = open_job(stocked, taken).job.zones[0]
    assert held.title == {"here": "Dining terrace", "away": "Supper terrace"}[pick]
    assert held.private_note == "Slope is worse"


def test_same_file_twice_and_an_older_one_after_a_newer_change_nothing(
    stocked: Office, away: Office, taken: UUID
) -> None:
    client = open_job(stocked, taken).job.client
    edit(away, taken, "client", client.id, phone="1")
    older = come_back(stocked, away, taken)
    edit(away, taken, "client", client.id, phone="2")
    newer = come_back(stocked, away, taken)
    brought(stocked, newer)
    before = state_of(stocked, taken)
    for content in (newer, older):
        assert brought(stocked, content).already
        assert state_of(stocked, taken) == before
    assert before[0].client.phone == "2"  # type: ignore[attr-defined]


def test_what_comes_back_later_from_the_same_taking_is_merged_from_what_came_before(
    stocked: Office, away: Office, taken: UUID
) -> None:
    client = open_job(stocked, taken).job.client
    edit(stocked, taken, "client", client.id, phone="here")
    edit(away, taken, "client", client.id, phone="away")
    brought(stocked, come_back(stocked, away, taken), phone="here")
    edit(away, taken, "client", client.id, email="away@example.org")
    found = brought(stocked, come_back(stocked, away, taken))
    assert found.merge.questions == ()  # the phone was settled: it is not asked again
    held = open_job(stocked, taken).job.client
    assert (held.phone, held.email) == ("here", "away@example.org")


def test_job_taken_along_again_brings_the_second_machine_up_to_date(stocked: Office, away: Office, taken: UUID) -> None:
    client = open_job(stocked, taken).job.client
    edit(away, taken, "client", client.id, phone="from the yard")
    again = take_along(stocked, taken, "the laptop in the bag", order())
    with pytest.raises(Refused, match="worked on here"):
        open_along(away, read_file(file_of(stocked, again)), order())
    brought(stocked, come_back(stocked, away, taken))
    edit(stocked, taken, "client", client.id, email="office@example.org")
    third = take_along(stocked, taken, "the laptop in the bag", order())
    open_along(away, read_file(file_of(stocked, third)), order())
    held = open_job(away, taken).job.client
    assert (held.phone, held.email) == ("from the yard", "office@example.org")
    fourth = take_along(stocked, taken, "the laptop in the bag", order())  # nothing was done there in between
    open_along(away, read_file(file_of(stocked, fourth)), order())
    assert len([one for one in of_job(away, taken) if one.is_out]) == 1


def test_signed_away_comes_back_whole_with_its_record(stocked: Office, away: Office, taken: UUID) -> None:
    one = offer(away, taken)
    for name in one.waits_for:
        sign(away, taken, one.id, name)
    content = come_back(stocked, away, taken)
    found = brought(stocked, content)
    assert [issued.signed_away for issued in found.issued] == [("Linnea Whitlock", "Joss Whitlock")]
    (there,), (here,) = revisions.of_job(away, taken), revisions.of_job(stocked, taken)
    assert there == here
    assert backups.faults(away) == ()
    assert here.state == "signed"
    for role, name in there.files.items():
        assert revisions.hand_out(stocked, here.id, role) == revisions.files_of(away).read(name)
    assert open_job(stocked, taken).job.head.stage is Stage.SIGNED
    assert backups.faults(stocked) == ()
    kept = of_job(stocked, taken)[0].standing[0]
    assert revisions.files_of(stocked).read(kept.record) == read_along(content).parts["record.json"]
    assert [entry.what for entry in found.done_away if entry.kind == "sign"] == [
        "Proposal 1 signed by Linnea Whitlock",
        "Proposal 1 signed by Joss Whitlock",
    ]
    with stocked.database.read() as connection:
        newest = record.history(connection, str(taken), limit=1)[0]
        assert record_check.verify(connection) is None
    assert newest.kind == "sign"
    assert "Proposal 1 signed by Linnea Whitlock and Joss Whitlock, on the laptop" in newest.what
    with pytest.raises(Refused):
        jobs.undo(stocked, taken, uuid4())  # a signature closes what was before


def test_offer_that_left_is_signed_away_and_keeps_its_bytes(stocked: Office, away: Office, ready: UUID) -> None:
    one = offer(stocked, ready)
    offered = revisions.hand_out(stocked, one.id, "offered")
    left = take_along(stocked, ready, "the tablet case", order())
    open_along(away, read_file(file_of(stocked, left)), order())
    sign(away, ready, one.id, "Linnea Whitlock")
    content = come_back(stocked, away, ready)
    assert one.files["offered"] not in read_along(content).bundle.files  # the office has it
    brought(stocked, content)
    held = revisions.read(stocked, one.id)
    assert (held.state, held.waits_for) == ("offered", ("Joss Whitlock",))
    assert revisions.hand_out(stocked, one.id, "signed").startswith(offered)
    sign(stocked, ready, one.id, "Joss Whitlock")  # the second one at the office
    assert backups.faults(stocked) == ()


def test_signed_at_both_is_refused_with_what_to_do(stocked: Office, away: Office, taken: UUID) -> None:
    for office in (stocked, away):
        one = offer(office, taken)
        sign(office, taken, one.id, "Linnea Whitlock")
    before = state_of(stocked, taken)
    with pytest.raises(Refused, match=r"signed here by Linnea Whitlock.*Agree with the client in writing"):
        looked(stocked, come_back(stocked, away, taken))
    assert state_of(stocked, taken) == before


def test_papers_made_at_both_never_share_a_number_and_one_offer_stays_open(
    stocked: Office, away: Office, taken: UUID
) -> None:
    here, there = offer(stocked, taken), offer(away, taken)
    assert (here.number, there.number) == (11, 1)
    sign(away, taken, there.id, "Linnea Whitlock")
    brought(stocked, come_back(stocked, away, taken), stage="here")
    states = {one.number: (one.state, one.waits_for) for one in revisions.of_job(stocked, taken)}
    assert states == {
        11: ("superseded", ("Linnea Whitlock", "Joss Whitlock")),
        1: ("offered", ("Joss Whitlock",)),
    }


def tampered(content: bytes, name: str, old: bytes, new: bytes, *, summed: bool) -> bytes:
    """The file with bytes of a part replaced; `summed`: its checksum made to fit."""
    with zipfile.ZipFile(BytesIO(content)) as held:
        parts = {one: held.read(one) for one in held.namelist()}
    assert old in parts[name]
    parts[name] = parts[name].replace(old, new)
    if summed:
        sums = {one: sha256(inside).hexdigest() for one, inside in parts.items() if one != archive.SUMS}
        parts[archive.SUMS] = archive.sums_of(sums)
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as held:
        for one, inside in parts.items():
            archive.put(held, one, inside)
    return out.getvalue()


@pytest.mark.parametrize("summed", [False, True], ids=["as it is", "with its checksum made to fit"])
@pytest.mark.parametrize(
    ("part", "old", "new"),
    [
        ("job.json", b"555 0134", b"555 9999"),
        ("record.json", b"555 0134", b"555 9999"),
        ("record.json", b"edit client", b"edit nobody"),
    ],
    ids=["job", "body of an entry", "words of an entry"],
)
def test_tampered_file_is_refused_in_a_sentence_and_changes_nothing(
    stocked: Office, away: Office, taken: UUID, part: str, old: bytes, new: bytes, summed: bool
) -> None:
    edit(away, taken, "client", open_job(away, taken).job.client.id, phone="555 0134")
    before = state_of(stocked, taken)
    with pytest.raises(BadValue) as refused:
        looked(stocked, tampered(come_back(stocked, away, taken), part, old, new, summed=summed))
    assert refused.value.field == "file"
    assert refused.value.sentence.endswith(".")
    assert state_of(stocked, taken) == before


def test_signed_pages_that_were_touched_are_refused_whatever_their_checksums_say(
    stocked: Office, away: Office, taken: UUID
) -> None:
    one = offer(away, taken)
    signed = sign(away, taken, one.id, "Linnea Whitlock")
    content = come_back(stocked, away, taken)
    good = revisions.hand_out(away, one.id, "signed")
    bad = good + b"%"
    with zipfile.ZipFile(BytesIO(content)) as held:
        parts = {name: held.read(name) for name in held.namelist() if name != archive.SUMS}
    parts.pop(f"files/{signed.signed_file}")
    name = sha256(bad).hexdigest()
    parts[f"files/{name}"] = bad
    parts["revisions.json"] = parts["revisions.json"].replace(signed.signed_file.encode(), name.encode())
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as made_up:
        for part, inside in parts.items():
            archive.put(made_up, part, inside)
        sums = {part: sha256(inside).hexdigest() for part, inside in parts.items()}
        archive.put(made_up, archive.SUMS, archive.sums_of(sums))
    with pytest.raises(BadValue, match=r"Proposal 1: Something stands after the end"):
        looked(stocked, out.getvalue())


def test_file_goes_only_the_way_it_is_meant(stocked: Office, away: Office, taken: UUID) -> None:
    left, back = file_of(stocked, of_job(stocked, taken)[0]), come_back(stocked, away, taken)
    with pytest.raises(Refused, match="is here already"):
        open_along(stocked, read_file(left), order())
    with pytest.raises(Refused, match="brings a job back"):
        open_along(away, read_file(back), order())
    with pytest.raises(Refused, match="in which the job left"):
        looked(stocked, left)
    with pytest.raises(Refused, match="not taken along from this machine"):
        looked(away, back)
    with pytest.raises(BadValue, match="lacks its"):
        read_file(tampered_away(left))


def tampered_away(content: bytes) -> bytes:
    out = BytesIO()
    with zipfile.ZipFile(BytesIO(content)) as held, zipfile.ZipFile(out, "w") as made_up:
        for name in held.namelist():
            if name != "record.json":
                archive.put(made_up, name, held.read(name))
    return out.getvalue()


def test_mark_is_lifted_with_a_reason_on_record(stocked: Office, away: Office, taken: UUID) -> None:
    (one,) = of_job(stocked, taken)
    with pytest.raises(BadValue, match="Say why"):
        lift(stocked, taken, UUID(one.id), "  ", order())
    lift(stocked, taken, UUID(one.id), "The laptop fell into a pond", order())
    assert marks(stocked) == {}
    with stocked.database.read() as connection:
        newest = record.history(connection, str(taken), limit=1)[0]
    assert newest.kind == "lift"
    assert "fell into a pond" in newest.what
    with pytest.raises(Refused, match="not marked"):
        lift(stocked, taken, UUID(one.id), "again", order())
    edit(away, taken, "client", open_job(away, taken).job.client.id, phone="dried")
    brought(stocked, come_back(stocked, away, taken))  # it came back after all: nothing is lost
    assert open_job(stocked, taken).job.client.phone == "dried"


def test_zone_taken_out_here_and_worked_on_away_is_asked_as_a_whole(stocked: Office, away: Office, taken: UUID) -> None:
    opened = open_job(stocked, taken)
    zone = opened.job.zones[0]
    save(stocked, taken, jobs.removal(opened, "zone", zone.id), order("out"))
    edit(away, taken, "zone", zone.id, title="Terrace with a bench")
    content = come_back(stocked, away, taken)
    brought(stocked, content, whole="away")
    job = open_job(stocked, taken).job
    assert [one.title for one in job.zones] == ["Terrace with a bench"]
    assert {one.zone_id for one in job.alternatives} == {zone.id}
    assert sheet(stocked, taken).estimate.price_cents == sheet(away, taken).estimate.price_cents


def test_job_changed_since_it_was_looked_at_is_looked_at_again(stocked: Office, away: Office, taken: UUID) -> None:
    edit(away, taken, "client", open_job(away, taken).job.client.id, phone="1")
    job_id, name = looked(stocked, come_back(stocked, away, taken))
    seen = open_job(stocked, taken).counter
    edit(stocked, taken, "job", taken, title="Meanwhile")
    with pytest.raises(Refused, match="since you looked"):
        bringing_back.take_in(stocked, job_id, name, {}, seen, order())


def test_nothing_of_it_is_written_when_the_second_half_fails(
    stocked: Office, away: Office, taken: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    edit(away, taken, "client", open_job(away, taken).job.client.id, phone="1")
    before = state_of(stocked, taken)

    def broken(*_: object) -> None:
        raise OutlayError("The power went.")

    monkeypatch.setattr(takings, "came_back", broken)
    with pytest.raises(OutlayError, match="power"):
        brought(stocked, come_back(stocked, away, taken))
    assert state_of(stocked, taken) == before


def test_what_is_no_file_of_ours_or_gone_is_said(stocked: Office, taken: UUID) -> None:
    with pytest.raises(BadValue, match="cannot be read"):
        read_file(b"PK\x03\x04")
    with pytest.raises(NotFound, match="Choose it again"):
        bringing_back.look(stocked, taken, "f" * 64)
    with pytest.raises(NotFound, match="Choose it again"):
        bringing_back.look(stocked, taken, "../outlay")


def test_new_zone_made_at_both_is_kept_twice(stocked: Office, away: Office, taken: UUID) -> None:
    for office, title in ((stocked, "Herb beds"), (away, "Fire pit")):
        zone = Zone(id=uuid4(), letter="B", title=title, position=1)
        save(office, taken, (made("zone", zone),), order(title))
    brought(stocked, come_back(stocked, away, taken))
    assert {one.title for one in open_job(stocked, taken).job.zones} == {"Terrace", "Herb beds", "Fire pit"}


def test_client_erased_at_the_office_leaves_nothing_of_what_went_along_and_came_back(
    stocked: Office, away: Office, taken: UUID
) -> None:
    edit(away, taken, "client", open_job(away, taken).job.client.id, private_note="Zyxwmark")
    content = come_back(stocked, away, taken)
    brought(stocked, content)
    looked(stocked, content)  # looked into again, and left lying
    lift(stocked, taken, UUID(take_along(stocked, taken, "the tablet", order()).id), "Zyxwmark was angry", order())
    (one, *_) = of_job(stocked, taken)
    wish = erasing.Wish(name="Linnea Whitlock", reason="They asked us to forget them.")
    erasing.erase(stocked, taken, wish, order())
    assert of_job(stocked, taken) == []
    assert not any(revisions.files_of(stocked).has(name) for name in one.parts.values())
    assert not (stocked.settings.data / bringing_back.ASIDE).exists()
    stocked.database.close()
    left = [path for path in stocked.settings.data.rglob("*") if path.is_file() and b"Zyxwmark" in path.read_bytes()]
    assert left == []


def test_number_is_each_machines_own(stocked: Office, away: Office, ready: UUID) -> None:
    other = jobs.begin_job(away, jobs.NewJob(name="Teodor Asante"), order())
    assert open_job(away, other).job.head.number == open_job(stocked, ready).job.head.number == 1
    open_along(away, read_file(file_of(stocked, take_along(stocked, ready, "the laptop", order()))), order())
    assert open_job(away, ready).job.head.number == 2
    edit(away, ready, "job", ready, title="Upper yard")
    brought(stocked, come_back(stocked, away, ready))
    head = open_job(stocked, ready).job.head
    assert (head.number, head.title) == (1, "Upper yard")


def test_two_machines_at_once_and_the_office_give_three_different_numbers(stocked: Office, ready: UUID) -> None:
    first, second = (take_along(stocked, ready, name, order()) for name in ("the laptop", "the tablet"))
    with stocked.database.read() as connection:
        here = next_number(connection, str(ready), "proposal")
    assert (first.numbers["proposal"], second.numbers["proposal"], here) == (0, 10, 21)


def test_verify_says_what_of_a_taking_is_gone(stocked: Office, away: Office, taken: UUID) -> None:
    edit(away, taken, "client", open_job(away, taken).job.client.id, phone="1")
    brought(stocked, come_back(stocked, away, taken))
    assert backups.faults(stocked) == ()
    kept = of_job(stocked, taken)[0].standing[0]
    FileStore(stocked.settings.files).drop(kept.record)
    (said,) = backups.faults(stocked)
    assert said.startswith("Taken along to the laptop in the bag: the file ")


def test_recipe_made_away_comes_with_the_work_that_is_built_by_it(stocked: Office, away: Office, taken: UUID) -> None:
    """What the office's library does not know is told, and the edition that came is kept, so that the work computes."""
    from dataclasses import replace

    own = replace(LIBRARY.assemblies["unit-pavers"], key="our-pavers", title="Our pavers")
    save(
        away,
        None,
        (Edit(kind="assembly", thing_id="our-pavers", version=0, before=None, after=fields_of(own, "assembly")),),
        order(),
    )
    way = open_job(away, taken).job.alternatives[0]
    name = held_editions.name_in(away, open_job(away, taken).basis, "our-pavers")
    work = Work(id=uuid4(), place=PlaceKind.ALTERNATIVE, place_id=way.id, assembly="our-pavers", assembly_hash=name)
    save(away, taken, (made("work", work),), order())
    found = brought(stocked, come_back(stocked, away, taken))
    assert found.lacking == ("Our pavers",)
    assert "our-pavers" in open_job(stocked, taken).basis.assemblies


def test_zones_drawn_apart_under_one_letter_get_letters_of_their_own_and_it_is_said(
    stocked: Office, away: Office, taken: UUID
) -> None:
    here = add_zone(stocked, taken, NewZone(title="Fire ring"), order())
    there = add_zone(away, taken, NewZone(title="Herb bed"), order())
    assert {zone.letter for zone in open_job(away, taken).job.zones if zone.id == there} == {"B"}
    found = brought(stocked, come_back(stocked, away, taken))
    assert found.relettered == (("Herb bed", "B", "C"),)
    letters = {zone.id: zone.letter for zone in open_job(stocked, taken).job.zones}
    assert (letters[here], letters[there], len(set(letters.values()))) == ("B", "C", len(letters))
    edit(away, taken, "zone", there, title="Herbs")
    brought(stocked, come_back(stocked, away, taken))  # it keeps the letter it got here
    assert {(zone.title, zone.letter) for zone in open_job(stocked, taken).job.zones if zone.id == there} == {
        ("Herbs", "C")
    }
