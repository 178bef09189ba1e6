"""What was changed in a job, by whom and when, newest first."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.db.repositories import record
from app.domain.change import Edit
from app.domain.record_chain import ChainEntry
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.takings import done_there

PAGE = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """One entry of the record: what happened when, by whom, and the edits it consists of."""

    seq: int
    at: str  # ISO, UTC
    who: str
    what: str
    kind: str
    undone: bool
    takes_back: bool
    edits: Sequence[Edit]
    away: Sequence[ChainEntry] = ()  # of a job that came back: what the record there says


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """A page of what happened, and where the next older page begins (None: this is all)."""

    entries: Sequence[Happened]
    older: int | None
    names: Mapping[str, str]  # what a thing is called, by id; also of those taken out meanwhile


def history(office: Office, view: Sheet, *, before: int | None = None) -> History:
    """One page of a job's record."""
    with office.database.read() as connection:
        read = record.history(connection, str(view.job.head.id), limit=PAGE + 1, before=before)
        undone = record.taken_back(connection, [entry.id for entry in read])
    entries = [_happened(entry, entry.id in undone, _away(office, entry)) for entry in read[:PAGE]]
    older = entries[-1].seq if len(read) > PAGE else None
    return History(entries=entries, older=older, names=_names(view, entries))


def _away(office: Office, entry: record.Entry) -> Sequence[ChainEntry]:
    """What a return brought of the record of the other machine, oldest first."""
    return done_there(office, entry.answer) if entry.kind == "return" else ()


def _happened(entry: record.Entry, undone: bool, away: Sequence[ChainEntry]) -> Happened:
    return Happened(
        seq=entry.seq,
        at=entry.at,
        who=entry.who,
        what=entry.what,
        kind=entry.kind,
        undone=undone,
        takes_back=bool(entry.undoes),
        edits=entry.change().edits,
        away=away,
    )


def _names(view: Sheet, entries: Sequence[Happened]) -> Mapping[str, str]:
    names: dict[str, str] = {}
    for happened in reversed(entries):
        for edit in happened.edits:
            known = {**(edit.before or {}), **(edit.after or {})}
            title = _title(view, known)
            if title:
                names[edit.thing_id] = title
    job = view.job
    for things in (job.zones, job.runs, job.features, job.existing, job.alternatives, job.allowances):
        names |= {str(thing.id): thing.title for thing in things if thing.title}
    names |= {str(phase.id): f"{phase.number} {phase.title}".strip() for phase in job.phases}
    for work in job.works:
        recipe = view.basis.assemblies.get(work.assembly)
        names[str(work.id)] = work.title or (recipe.title if recipe else work.assembly)
    return names


def _title(view: Sheet, fields: Mapping[str, object]) -> str:
    recipe = view.basis.assemblies.get(str(fields.get("assembly") or ""))
    found = next((fields[name] for name in ("title", "words", "event", "name", "role") if fields.get(name)), "")
    return str(found or (recipe.title if recipe else ""))[:80]
