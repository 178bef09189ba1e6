"""Ten faults that a program of this kind is known to get, each put into the real one until a block ends."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import replace
from itertools import count
from typing import Any
from uuid import uuid4

import pytest

from app.db import backup
from app.db.disk import DiskTrouble
from app.db.repositories import record
from app.db.session import Database
from app.domain import change as changing
from app.domain.errors import OutlayError
from app.services import changes, jobs, restoring, revisions, sheets
from app.services.changes import Applied

Patch = pytest.MonkeyPatch


def answered_before_the_commit(patch: Patch) -> None:
    """What the disk does not take is answered as saved."""
    apply = changes.apply

    def anyhow(database: Any, firm_id: str, change: Any, beside: Any = None) -> Applied:
        with suppress(DiskTrouble):
            return apply(database, firm_id, change, beside)
        return Applied(change_id=str(change.id), versions={}, counter=0)

    patch.setattr(changes, "apply", anyhow)


def version_not_looked_at(patch: Patch) -> None:
    """Whoever saves last wins."""
    patch.setattr(changes, "_since", lambda *_given: [])


def dropped_at_undo(patch: Patch) -> None:
    """Of a change of several things undo forgets one."""

    def inverse(change: Any, **more: Any) -> Any:
        back = changing.inverse(change, **more)
        return replace(back, edits=back.edits[:1])

    patch.setattr(changes, "inverse", inverse)


def sent_twice_done_twice(patch: Patch) -> None:
    """A change that is known is applied again under another name."""
    within = changes.apply_within

    def again(connection: Any, firm_id: str, change: Any) -> Applied:
        known = record.find(connection, str(change.id)) is not None
        return within(connection, firm_id, replace(change, id=uuid4()) if known else change)

    patch.setattr(changes, "apply_within", again)


def restored_into_the_same_epoch(patch: Patch) -> None:
    """After a restore pages from before it are as good as new ones."""
    patch.setattr(restoring, "begin_epoch", lambda connection, *_given, **_more: record.epoch(connection))
    assert backup.begin_epoch is not restoring.begin_epoch


def price_kept_too_long(patch: Patch) -> None:
    """A result is kept by the job alone, whatever the prices are by now."""
    kept: dict[Any, Any] = {}

    def by_job(office: Any, what: tuple[Any, ...], opened: Any, work: Callable[[], Any]) -> Any:
        key = (id(office), what, opened.counter)
        if key not in kept:
            kept[key] = office, work()  # the office with it, so that no other gets its id
        return kept[key][1]

    patch.setattr(sheets, "kept", by_job)


def signed_pages_made_anew(patch: Patch) -> None:
    """A signed copy is handed out as of now."""
    hand_out, number = revisions.hand_out, count()

    def anew(office: Any, revision_id: str, role: str) -> bytes:
        content: bytes = hand_out(office, revision_id, role)
        return content + b"%% as of %d\n" % next(number) if role.startswith("signed") else content

    patch.setattr(revisions, "hand_out", anew)


def entry_left_out(patch: Patch) -> None:
    """What is undone is done, and stands nowhere."""
    append = record.append

    def some(connection: Any, **given: Any) -> str:
        return "" if given["change"].undoes else append(connection, **given)

    patch.setattr(record, "append", some)


def edit_of_the_other_lost(patch: Patch) -> None:
    """A page saves all fields as it read them, and so takes back what somebody else typed beside."""
    settle = changing.settle

    def all_fields(edit: Any, current: Any, since: Any) -> Any:
        settled = settle(edit, current, since)
        if settled is None or not since:
            return settled
        read = {name: value for past in reversed(since) for name, value in (past.before or {}).items()}
        back = {name: value for name, value in read.items() if name not in settled.after}
        before = {name: current.get(name) for name in back}
        return replace(settled, after={**settled.after, **back}, before={**settled.before, **before})

    patch.setattr(changes, "settle", all_fields)


def half_of_it_kept(patch: Patch) -> None:
    """What came before the part that is refused is saved."""
    write = Database.write

    @contextmanager
    def halved(database: Database) -> Iterator[Any]:
        wrong = None
        with write(database) as connection:
            try:
                yield connection
            except OutlayError as error:
                wrong = error
        if wrong is not None:
            raise wrong

    patch.setattr(Database, "write", halved)


FAULTS: Mapping[str, Callable[[Patch], None]] = {
    one.__name__.replace("_", " "): one
    for one in (
        answered_before_the_commit,
        version_not_looked_at,
        dropped_at_undo,
        sent_twice_done_twice,
        restored_into_the_same_epoch,
        price_kept_too_long,
        signed_pages_made_anew,
        entry_left_out,
        edit_of_the_other_lost,
        half_of_it_kept,
    )
}
assert jobs.changes is changes
