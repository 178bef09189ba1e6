"""What the price book, the library and the settings moved of a draft since it was last worked on, in money.

Nothing is stored for it: the record knows the firm's changes after the job's newest one, and taking them back gives the
basis as it stood then.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from app.db.repositories import record, things
from app.db.repositories.things import Row
from app.db.tables.things import FIRM_THINGS
from app.domain.basis import Basis
from app.domain.costing.estimate import estimate
from app.domain.costing.moved import Movement, moved
from app.domain.takeoff.stocked import stocked
from app.services.office import Office, laid_over
from app.services.sheets import Sheet, kept


@dataclass(frozen=True, slots=True, kw_only=True)
class Since:
    """What moved: since when (ISO, UTC), by which changes of the firm, in money."""

    at: str
    changes: Sequence[str]
    movement: Movement


def moved_since_seen(office: Office, view: Sheet) -> Since | None:
    """What moved since the job was last changed; None where nothing did, or where it stands on prices of its own."""
    if view.opened.book is not office.basis() or office.newest < view.opened.newest:
        return None
    return kept(office, ("moved", view.job.head.id), view.opened, lambda: _moved(office, view))


def _moved(office: Office, view: Sheet) -> Since | None:
    with office.database.read() as connection:
        newer = record.firm_changes_since(connection, office.firm_id, str(view.job.head.id))
        if not newer:
            return None
        now = [row for kind in FIRM_THINGS for row in things.read_things(connection, office.firm_id, kind)]
    before = estimate(view.job, stocked(basis_before(office, now, newer), view.job))
    movement = moved(before, view.estimate)
    if not movement.lines:
        return None
    return Since(at=view.saved_at, changes=tuple(dict.fromkeys(entry.what for entry in newer)), movement=movement)


def basis_before(office: Office, now: Sequence[Row], newer: Sequence[record.Entry]) -> Basis:
    """The live basis with the firm's changes taken back, the newest first."""
    fields = {(row.kind, row.thing_id): dict(row.fields) for row in now}
    for entry in newer:
        for edit in reversed(entry.change().edits):
            at = (edit.kind, edit.thing_id)
            if edit.before is None:
                fields.pop(at, None)
            else:
                fields[at] = {**fields.get(at, {}), **edit.before}
    own: dict[str, dict[str, Any]] = {kind: {} for kind in FIRM_THINGS}
    for (kind, thing_id), known in fields.items():
        own[kind][thing_id] = things.value_of(kind, thing_id, known)
    return laid_over(office.shipped, own)
