"""Marks of the ground: make and change them, their tapes, the rod readings on them, where the instrument stood."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import count
from typing import Any
from uuid import UUID, uuid4

from app.domain.change import Edit
from app.domain.codec import to_plain
from app.domain.errors import BadValue, NotFound
from app.domain.job import Job, LevelSetup, Mark, RodReading, Tape
from app.domain.plan.outline import rings_of
from app.domain.plan.shapes import Marks
from app.domain.takeoff.ground import mark_places
from app.services import jobs
from app.services.changes import Applied
from app.services.following import with_followers
from app.services.jobs import OpenJob, Order, changed, made, removal
from app.services.office import Office
from app.services.zones import find, next_position

LONGEST_NAME = 30
MOST_MARKS = 200
MOST_TAPES = 40  # to one mark
AT_ONCE = ("1", "2", "3")  # tapes that a new mark is typed with
PLACED = ("title", "x", "y", "side", "level", "on_ground")


def add_mark(office: Office, job_id: UUID, values: Mapping[str, Any], order: Order) -> UUID:
    """A mark with up to three tapes and a rod reading, as typed in one form; returns its id.

    Raises: BadValue, naming the field.
    """
    job = jobs.open_job(office, job_id).job
    if len(job.marks) >= MOST_MARKS:
        raise BadValue(f"A job holds {MOST_MARKS} marks at most. Take out those no longer needed.", field="title")
    mark = Mark(
        id=uuid4(),
        **{name: values[name] for name in PLACED if values.get(name) is not None},
        tapes=tuple(_typed_tapes(job, values)),
        rods=tuple(_typed_rods(job, values)),
        position=next_position(job.marks),
    )
    _check(job, mark)
    jobs.save(office, job_id, (made("mark", mark),), replace(order, what=f"Mark {mark.title}"))
    return mark.id


def _typed_tapes(job: Job, values: Mapping[str, Any]) -> Iterable[Tape]:
    """The tapes of a form; a mark to tape from that stands there by itself, without a length, is none."""
    for number in AT_ONCE:
        start, length = values.get(f"from_{number}"), values.get(f"length_{number}")
        if length is not None and start is None:
            raise BadValue("From which mark was this taped? Choose it.", field=f"from_{number}")
        if start is not None and length is not None:
            yield _tape(job, start, length, field=number)


def _tape(job: Job, start: UUID, length: float, *, field: str = "") -> Tape:
    if all(mark.id != start for mark in job.marks):
        raise BadValue(
            "That mark is not there (any more). Choose another.", field=f"from_{field}" if field else "from_id"
        )
    if not length > 0:
        name = f"length_{field}" if field else "length"
        raise BadValue("A tape of no length tells nothing. Type what it read.", field=name)
    return Tape(from_id=start, length=length)


def _typed_rods(job: Job, values: Mapping[str, Any]) -> Iterable[RodReading]:
    setup, reading = values.get("setup_id"), values.get("reading")
    if reading is None:
        return
    if not job.level_setups:
        raise BadValue("The rod needs a setup of the instrument. Set it up below first, then read the rod.")
    if setup is None or all(one.id != setup for one in job.level_setups):
        raise BadValue("From where was the rod read? Choose the setup of the instrument.", field="setup_id")
    yield RodReading(setup_id=setup, reading=reading)


def _check(job: Job, mark: Mark) -> None:
    """A mark's name can be typed in an outline, and no other has it; its place is whole.

    Raises: BadValue.
    """
    name = " ".join(mark.title.split())
    if not name or len(name) > LONGEST_NAME:
        raise BadValue(f"Name the mark in 1 to {LONGEST_NAME} letters, such as P1.", field="title")
    if any(sign in name for sign in ",;/") or name.casefold().startswith("arc ") or name[0] in "+-.0123456789":
        raise BadValue(
            f"“{name}” cannot be typed in an outline. Begin with a letter, without comma or slash: P1.", field="title"
        )
    if any(one.id != mark.id and one.title.casefold() == name.casefold() for one in job.marks):
        raise BadValue(f"There is a mark {name} already. Choose another name.", field="title")
    if (mark.x is None) != (mark.y is None):
        missing = "y" if mark.y is None else "x"
        raise BadValue("A typed place needs both lengths; or leave both empty and tape it.", field=missing)
    if len(mark.tapes) > MOST_TAPES:
        raise BadValue(f"A mark holds {MOST_TAPES} tapes at most.", field="length")


def places_by_name(office: Office, job_id: UUID) -> Marks:
    """The places of a job's marks by name, as an outline may be typed with; None for one without a place yet."""
    return mark_places(jobs.open_job(office, job_id).job)


def next_name(job: Job) -> str:
    """The first of P1, P2, … that no mark has."""
    taken = {mark.title.casefold() for mark in job.marks}
    return next(f"P{number}" for number in count(1) if f"p{number}" not in taken)


def change_mark(
    office: Office, job_id: UUID, mark_id: UUID, values: Mapping[str, Any], version: int, order: Order
) -> Applied:
    """A mark's name, typed place, side or typed level. Raises: NotFound, BadValue, Stale."""
    opened = jobs.open_job(office, job_id)
    mark: Mark = find(opened.job.marks, mark_id, "mark")
    fields = {name: value for name, value in values.items() if name in PLACED}
    _check(opened.job, replace(mark, **fields))
    edits = with_followers(opened, (changed("mark", mark_id, version, fields),))
    return jobs.save(office, job_id, edits, replace(order, what=f"Mark {fields.get('title', mark.title)}"))


def add_tape(
    office: Office, job_id: UUID, mark_id: UUID, values: Mapping[str, Any], version: int, order: Order
) -> Applied:
    """One more tape to a mark. Raises: NotFound, BadValue, Stale."""
    job = jobs.open_job(office, job_id).job
    mark: Mark = find(job.marks, mark_id, "mark")
    if values["from_id"] == mark_id:
        raise BadValue(f"{mark.title} cannot be taped from itself. Choose another mark.", field="from_id")
    tapes = (*mark.tapes, _tape(job, values["from_id"], values["length"]))
    _check(job, replace(mark, tapes=tapes))
    return _save_tapes(office, job_id, mark, tapes, version, order)


def change_tape(
    office: Office, job_id: UUID, mark_id: UUID, place: int, values: Mapping[str, Any], version: int, order: Order
) -> Applied:
    """A tape of a mark, by its number from 0: another length, left out, used again, or taken off (`does`).

    Raises: NotFound, BadValue, Stale.
    """
    job = jobs.open_job(office, job_id).job
    mark: Mark = find(job.marks, mark_id, "mark")
    if not 0 <= place < len(mark.tapes):
        raise NotFound("This tape is not there (any more). Nothing was changed.")
    tape, does = mark.tapes[place], values.get("does", "")
    if does == "take-off":
        return _save_tapes(office, job_id, mark, (*mark.tapes[:place], *mark.tapes[place + 1 :]), version, order)
    if does in {"leave-out", "use"}:
        tape = replace(tape, left_out=does == "leave-out")
    if values.get("length") is not None:
        tape = replace(tape, length=_tape(job, tape.from_id, values["length"]).length)
    return _save_tapes(office, job_id, mark, (*mark.tapes[:place], tape, *mark.tapes[place + 1 :]), version, order)


def _save_tapes(
    office: Office, job_id: UUID, mark: Mark, tapes: tuple[Tape, ...], version: int, order: Order
) -> Applied:
    edit = changed("mark", mark.id, version, {"tapes": to_plain(tapes)})
    edits = with_followers(jobs.open_job(office, job_id), (edit,))
    return jobs.save(office, job_id, edits, replace(order, what=f"Tapes of {mark.title}"))


def read_rod(office: Office, job_id: UUID, setup_id: UUID, values: Mapping[str, Any], order: Order) -> Applied:
    """What the rod read on a mark from a setup; an empty reading takes it away. Raises: NotFound, BadValue."""
    opened = jobs.open_job(office, job_id)
    setup: LevelSetup = find(opened.job.level_setups, setup_id, "setup")
    mark: Mark | None = next((one for one in opened.job.marks if one.id == values["mark_id"]), None)
    if mark is None:
        raise BadValue("That mark is not there (any more). Choose another.", field="mark_id")
    kept = tuple(one for one in mark.rods if one.setup_id != setup.id)
    reading = values.get("reading")
    rods = kept if reading is None else (*kept, RodReading(setup_id=setup.id, reading=reading))
    edit = changed("mark", mark.id, opened.version("mark", mark.id), {"rods": to_plain(rods)})
    return jobs.save(office, job_id, (edit,), replace(order, what=f"Rod on {mark.title}"))


def remove_mark(office: Office, job_id: UUID, mark_id: UUID, order: Order) -> Applied:
    """Take a mark out with every tape from it; a setup that looked back to it loses its benchmark, a baseline goes.

    Raises: NotFound.
    """
    opened = jobs.open_job(office, job_id)
    mark: Mark = find(opened.job.marks, mark_id, "mark")
    edits: list[Edit] = []
    for one in opened.job.marks:
        kept = tuple(tape for tape in one.tapes if tape.from_id != mark_id)
        if one.id != mark_id and kept != one.tapes:
            edits.append(changed("mark", one.id, opened.version("mark", one.id), {"tapes": to_plain(kept)}))
    for setup in opened.job.level_setups:
        if setup.benchmark_id == mark_id:
            version = opened.version("level_setup", setup.id)
            edits.append(changed("level_setup", setup.id, version, {"benchmark_id": None}))
    if mark_id in opened.job.site.baseline_ids:
        edits.append(_baseline_edit(opened, (), opened.version("site", opened.job.site.id)))
    edits = [*with_followers(opened, edits), *removal(opened, "mark", mark_id)]
    return jobs.save(office, job_id, tuple(edits), replace(order, what=f"Mark {mark.title} taken out"))


def choose_baseline(office: Office, job_id: UUID, start: UUID | None, end: UUID | None, order: Order) -> Applied:
    """The two marks that the crew measures offsets from; none: the wall of the house that the work lies before.

    Raises: BadValue for one mark alone, the same one twice, or one that is not there.
    """
    opened = jobs.open_job(office, job_id)
    chosen = tuple(one for one in (start, end) if one is not None)
    if len(chosen) == 1 or (chosen and start == end):
        raise BadValue("A baseline runs between two marks. Choose both, or none.", field="end_id")
    if any(one not in {mark.id for mark in opened.job.marks} for one in chosen):
        raise BadValue("That mark is not there (any more). Choose another.", field="start_id")
    edit = _baseline_edit(opened, chosen, opened.version_read(order, "site", opened.job.site.id))
    return jobs.save(office, job_id, (edit,), replace(order, what="Baseline"))


def _baseline_edit(opened: OpenJob, chosen: tuple[UUID, ...], version: int) -> Edit:
    return changed("site", opened.job.site.id, version, {"baseline_ids": to_plain(chosen)})


def mark_house(office: Office, job_id: UUID, order: Order) -> Applied:
    """The corners of the house as marks H1, H2, … of known place; a corner that is marked already is not marked again.

    Raises: BadValue where the house is not drawn, or nothing is left to mark.
    """
    job = jobs.open_job(office, job_id).job
    if job.site.house is None:
        raise BadValue("The house is not on the plan yet. Type its outline on the Site sheet first.")
    corners = [piece.start for piece in rings_of(job.site.house)[0]]
    known = {(mark.x, mark.y) for mark in job.marks}
    taken = {mark.title.casefold() for mark in job.marks}
    names = (f"H{number}" for number in count(1) if f"h{number}" not in taken)
    new = [corner for corner in corners if corner not in known]
    if not new:
        raise BadValue("All corners of the house are marked already.")
    if len(job.marks) + len(new) > MOST_MARKS:
        raise BadValue(
            f"The house has {len(new)} corners to mark; a job holds {MOST_MARKS} marks. Type those you need."
        )
    first = next_position(job.marks)
    marks = [
        Mark(id=uuid4(), title=name, x=x, y=y, position=first + number)
        for number, (name, (x, y)) in enumerate(zip(names, new, strict=False))
    ]
    edits = tuple(made("mark", mark) for mark in marks)
    return jobs.save(office, job_id, edits, replace(order, what="House corners as marks"))


def add_setup(office: Office, job_id: UUID, values: Mapping[str, Any], order: Order) -> UUID:
    """A setup of the leveling instrument; returns its id. Raises: BadValue."""
    job = jobs.open_job(office, job_id).job
    given = {name: value for name, value in values.items() if value is not None}
    setup = LevelSetup(id=uuid4(), position=next_position(job.level_setups), **given)
    setup = replace(setup, title=setup.title or f"Setup {len(job.level_setups) + 1}")
    _check_benchmark(job, setup.benchmark_id)
    jobs.save(office, job_id, (made("level_setup", setup),), replace(order, what=setup.title))
    return setup.id


def change_setup(
    office: Office, job_id: UUID, setup_id: UUID, values: Mapping[str, Any], version: int, order: Order
) -> Applied:
    """A setup's name, benchmark or backsight. Raises: NotFound, BadValue, Stale."""
    job = jobs.open_job(office, job_id).job
    setup: LevelSetup = find(job.level_setups, setup_id, "setup")
    _check_benchmark(job, values.get("benchmark_id"))
    edit = changed("level_setup", setup_id, version, dict(values))
    return jobs.save(office, job_id, (edit,), replace(order, what=setup.title or "Setup"))


def _check_benchmark(job: Job, benchmark_id: UUID | None) -> None:
    if benchmark_id is not None and all(mark.id != benchmark_id for mark in job.marks):
        raise BadValue("That mark is not there (any more). Choose another.", field="benchmark_id")


def remove_setup(office: Office, job_id: UUID, setup_id: UUID, order: Order) -> Applied:
    """Take a setup out with every reading from it. Raises: NotFound."""
    opened = jobs.open_job(office, job_id)
    setup: LevelSetup = find(opened.job.level_setups, setup_id, "setup")
    edits: list[Edit] = []
    for mark in opened.job.marks:
        kept = tuple(one for one in mark.rods if one.setup_id != setup_id)
        if kept != mark.rods:
            edits.append(changed("mark", mark.id, opened.version("mark", mark.id), {"rods": to_plain(kept)}))
    edits += removal(opened, "level_setup", setup_id)
    return jobs.save(office, job_id, tuple(edits), replace(order, what=f"{setup.title} taken out"))


def choose_tapes(office: Office, job_id: UUID, kind: str, within: float | None, order: Order) -> Applied:
    """What was taped with, and how far off [ft] that is up to 30 ft; None: as usual for its kind.

    Places move by what the tapes count differently, and what was drawn through marks follows them.
    """
    opened = jobs.open_job(office, job_id)
    site = opened.job.site
    version = opened.version_read(order, "site", site.id)
    edit = changed("site", site.id, version, {"tape_kind": kind, "tape_within": within})
    return jobs.save(office, job_id, with_followers(opened, (edit,)), replace(order, what="What was taped with"))
