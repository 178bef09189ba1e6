"""What the record says has happened lately: asked once a moment, for everything that was read at an earlier one."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import takewhile

from sqlalchemy import Connection

from app.db.repositories import record
from app.db.repositories.record import Happened, Mark, Since

MOST = 20_000  # edits remembered


@dataclass(frozen=True, slots=True)
class AsOf:
    """The newest entry of the record when something was read; `of` is another after a restore."""

    of: int
    seq: int


class RecordLog:
    """The newest entries of the record, each edit with the job or the firm it is about."""

    def __init__(self, most: int = MOST) -> None:
        self._most = most
        self._of = 0
        self._begins = 0  # what is older is not known here
        self._newest: Mark | None = None
        self._rows: list[Happened] = []

    def look(self, connection: Connection) -> AsOf:
        """Bring it up to date, with one question to the database; what is read in this transaction is as of that."""
        seen = self._newest
        rows = record.happened_since(connection, seen.seq) if seen else []
        if seen is None or not rows or (rows[0].seq, rows[0].hash) != (seen.seq, seen.hash):
            self._begin(record.newest(connection))
        else:
            self._rows += [row for row in rows if row.seq > seen.seq]
            self._newest = Mark(rows[-1].seq, rows[-1].hash, rows[-1].at)
            self._forget()
        return AsOf(self._of, self._newest.seq if self._newest else 0)

    def since(self, read: AsOf, known: Mark, job_id: str | None, client_id: str = "") -> Since | None:
        """What was edited of a job (of the firm: None) after it was read, and its newest entry; None: not known here.

        A client may be edited through another job, so it is named beside its own.
        """
        if read.of != self._of or read.seq < self._begins:
            return None
        later = list(takewhile(lambda row: row.seq > read.seq, reversed(self._rows)))
        own = [row for row in later if row.job_id == job_id]
        mark = Mark(own[0].seq, own[0].hash, own[0].at) if own else known
        client = [row for row in later if client_id and (row.kind, row.thing_id) == ("client", client_id)]
        return Since(mark, frozenset(_edits([*own, *client])))

    def _begin(self, newest: Mark | None) -> None:
        self._of += 1
        self._newest, self._rows = newest, []
        self._begins = newest.seq if newest else 0

    def _forget(self) -> None:
        if len(self._rows) > self._most:
            gone = self._rows[-self._most // 2].seq
            self._rows = [row for row in self._rows if row.seq > gone]
            self._begins = gone


def _edits(rows: Sequence[Happened]) -> list[tuple[str, str]]:
    return [(row.kind, row.thing_id) for row in rows if row.kind is not None and row.thing_id is not None]
