"""Jobs taken along, as rows; and the stretch of the record that goes with one."""

from collections.abc import Collection, Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from sqlalchemy import Connection, and_, delete, desc, exists, func, insert, or_, select, update

from app.db.tables.office import RECORD
from app.db.tables.takings import TAKING
from app.domain.codec import from_plain, to_plain
from app.domain.record_chain import Chain, ChainEntry, holds

LENT, BORROWED = "lent", "borrowed"
OUT, BACK, LIFTED = "out", "back", "lifted"


@dataclass(frozen=True, slots=True, kw_only=True)
class Return:
    """What came back once: the head and the file of the record there, the job file, the change it was merged by."""

    head: str
    record: str
    job: str
    change: str
    at: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Taking:
    """A job taken along: from here to another machine (lent), or from an office to here (borrowed)."""

    id: str
    job_id: str
    side: str
    name: str
    firm: str
    at: str
    counter: int
    head: str
    numbers: Mapping[str, int]
    parts: Mapping[str, str]
    returns: tuple[Return, ...] = ()
    state: str = OUT
    merge_change: str = ""
    ended_at: str = ""
    reason: str = ""
    undone: bool = field(default=False)  # the newest return was taken back: it is out again

    @property
    def is_out(self) -> bool:
        """Whether it is away now (lent), or is to go back (borrowed)."""
        return self.state == OUT or (self.state == BACK and self.undone)

    @property
    def standing(self) -> tuple[Return, ...]:
        """What came back and was not taken back since."""
        return self.returns[:-1] if self.undone else self.returns


_OF_IT = (RECORD.c.job_id == TAKING.c.job_id, RECORD.c.undoes == TAKING.c.merge_change)  # by the index on the job
_UNDONE = exists().where(TAKING.c.merge_change != "", *_OF_IT)
_WHOLE = select(TAKING, _UNDONE.label("undone")).order_by(desc(TAKING.c.at), TAKING.c.id)
_IS_OUT = or_(TAKING.c.state == OUT, and_(TAKING.c.state == BACK, _UNDONE))


def takings_of(connection: Connection, firm_id: str, job_id: str) -> list[Taking]:
    """Every taking of a job, the newest first."""
    return [
        _taking(row) for row in connection.execute(_WHOLE.where(TAKING.c.firm_id == firm_id, TAKING.c.job_id == job_id))
    ]


def takings_out(connection: Connection, firm_id: str) -> list[Taking]:
    """All that is out now, or borrowed, of any job."""
    return [_taking(row) for row in connection.execute(_WHOLE.where(TAKING.c.firm_id == firm_id, _IS_OUT))]


def all_takings(connection: Connection, firm_id: str) -> list[Taking]:
    """Every taking there ever was, the newest first."""
    return [_taking(row) for row in connection.execute(_WHOLE.where(TAKING.c.firm_id == firm_id))]


def find(connection: Connection, firm_id: str, taking_id: str) -> Taking | None:
    """A taking by id, or None."""
    row = connection.execute(_WHOLE.where(TAKING.c.firm_id == firm_id, TAKING.c.id == taking_id)).one_or_none()
    return None if row is None else _taking(row)


def put(connection: Connection, firm_id: str, one: Taking) -> None:
    """Keep a new taking."""
    connection.execute(insert(TAKING).values(firm_id=firm_id, **_columns(one)))


def came_back(connection: Connection, one: Taking, new: Return) -> None:
    """Write down what came back."""
    returns = [to_plain(each) for each in (*one.standing, new)]
    _set(connection, one, returns=returns, state=BACK, merge_change=new.change, ended_at=new.at)


def end(connection: Connection, one: Taking, state: str, at: str, reason: str = "") -> None:
    """Take the mark off: it will not come back, or (borrowed) it is back at the office."""
    _set(connection, one, state=state, ended_at=at, reason=reason, merge_change="")


def _set(connection: Connection, one: Taking, **values: Any) -> None:
    connection.execute(update(TAKING).where(TAKING.c.id == one.id).values(**values))


def _columns(one: Taking) -> dict[str, Any]:
    plain = asdict(one)
    plain.pop("undone")
    return {**plain, "returns": [to_plain(each) for each in one.returns]}


def _taking(row: Any) -> Taking:
    return from_plain({str(key): value for key, value in row._mapping.items() if key != "firm_id"}, Taking)  # noqa: SLF001


def erase(connection: Connection, job_ids: Collection[str]) -> set[str]:
    """Take out every taking of jobs; returns the files that were kept of them."""
    theirs = TAKING.c.job_id.in_(job_ids)
    rows = connection.execute(select(TAKING.c.parts, TAKING.c.returns).where(theirs)).all()
    connection.execute(delete(TAKING).where(theirs))
    returned = {each[name] for row in rows for each in row.returns for name in ("record", "job")}
    return returned | {name for row in rows for name in row.parts.values()}


def chain_of(connection: Connection, job_id: str) -> Chain:
    """The record from a job's first entry to now: its own entries whole, the others by the hash of their content."""
    first = connection.execute(select(func.min(RECORD.c.seq)).where(RECORD.c.job_id == job_id)).scalar_one()
    own = {row.seq: _entry(row) for row in connection.execute(select(RECORD).where(RECORD.c.job_id == job_id))}
    query = select(RECORD.c.seq, RECORD.c.content_hash, RECORD.c.previous_hash).where(RECORD.c.seq >= first)
    rows = connection.execute(query.order_by(RECORD.c.seq)).all()
    return Chain(previous=rows[0].previous_hash, links=tuple(_link(own.get(row.seq), row.content_hash) for row in rows))


_ENTRY = ("id", "kind", "firm_id", "epoch", "answer", "who", "at", "what", "body", "undoes")


def _entry(row: Any) -> ChainEntry:
    return ChainEntry(content=row.content_hash, **{name: getattr(row, name) for name in _ENTRY})


def _link(entry: ChainEntry | None, content: str) -> ChainEntry | str:
    """An entry of the job whole; one of another job, or whose content was erased, by the hash that the chain holds."""
    return entry if entry is not None and holds(entry) else content


def seq_of(connection: Connection, hashed: str) -> int:
    """The number of the entry with this hash here; 0 where there is none."""
    return connection.execute(select(func.max(RECORD.c.seq)).where(RECORD.c.hash == hashed)).scalar_one() or 0
