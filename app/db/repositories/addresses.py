"""The index of an address search: kept with the rows it is of, in their transaction, and looked into by fragments.

A job's words are those of its title and place and of its client's names, phone and place. A fragment is looked up among
the parts of words by its beginning (`address_part`), and from the words to the jobs (`address_word`): two ranges of
sorted keys, on either database, however many jobs there are.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from sqlalchemy import Connection, Row, Select, and_, delete, exists, insert, intersect, select

from app.db.tables.addresses import ADDRESS_PART, ADDRESS_WORD
from app.db.tables.things import TABLES
from app.domain.looking_back.words import after, parts_of, words_of

JOB_FIELDS = ("title", "street", "town", "state", "postal_code", "client_id")
CLIENT_FIELDS = ("name", "second_name", "phone", "street", "town", "postal_code")
LOOKED_AT: Mapping[str, frozenset[str]] = {"job": frozenset(JOB_FIELDS), "client": frozenset(CLIENT_FIELDS)}
MOST = 200  # jobs that a search gives back
AT_ONCE = 500
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Found:
    """A job that an address search found."""

    job_id: str
    number: int
    title: str
    client: str
    street: str
    town: str
    stage: str
    words: frozenset[str]


def touches(kind: str, names: Collection[str], *, whole: bool) -> bool:
    """Whether a row that is written moves what jobs are found by."""
    return kind in LOOKED_AT and (whole or not LOOKED_AT[kind].isdisjoint(names))


def follow(connection: Connection, firm_id: str, job_ids: Collection[str], client_ids: Collection[str]) -> None:
    """Bring the index up to these jobs, and those of these clients, as their rows are now."""
    job = TABLES["job"].c
    theirs = select(job.thing_id).where(job.firm_id == firm_id, job.client_id.in_(list(client_ids)))
    ids = {*job_ids, *(connection.execute(theirs).scalars() if client_ids else ())}
    if ids:
        forget(connection, ids)
        _put(connection, connection.execute(_rows(firm_id).where(job.thing_id.in_(list(ids)))).all())


def forget(connection: Connection, job_ids: Collection[str]) -> None:
    """Take jobs out of the index, with the words that nobody else has."""
    word = ADDRESS_WORD.c
    mine = list(connection.execute(select(word.word).where(word.job_id.in_(list(job_ids))).distinct()).scalars())
    connection.execute(delete(ADDRESS_WORD).where(word.job_id.in_(list(job_ids))))
    for some in _some(mine):
        unused = ~exists().where(word.word == ADDRESS_PART.c.word)
        connection.execute(delete(ADDRESS_PART).where(ADDRESS_PART.c.word.in_(some), unused))


def build(connection: Connection, firm_id: str) -> None:
    """Make the index anew from all rows."""
    connection.execute(delete(ADDRESS_WORD))
    connection.execute(delete(ADDRESS_PART))
    _put(connection, connection.execute(_rows(firm_id)).all())


def is_whole(connection: Connection, firm_id: str) -> bool:
    """Whether there is an index, or nothing to put into one: a database of an older release has none yet."""
    job = TABLES["job"].c
    if connection.execute(select(ADDRESS_WORD.c.job_id).limit(1)).first() is not None:
        return True
    return connection.execute(select(job.thing_id).where(job.firm_id == firm_id).limit(1)).first() is None


def search(connection: Connection, firm_id: str, pieces: Sequence[str]) -> list[Found]:
    """Jobs of which every piece is in a word, the newest first."""
    return [_found(row) for row in connection.execute(query(firm_id, pieces))] if pieces else []


def query(firm_id: str, pieces: Sequence[str]) -> Select[Any]:
    """The one statement that a search is."""
    found, job = [_with(one) for one in pieces], TABLES["job"].c
    ids = found[0] if len(found) == 1 else intersect(*found)
    return _rows(firm_id).where(job.thing_id.in_(ids)).order_by(job.number.desc()).limit(MOST)


def _with(piece: str) -> Select[tuple[str]]:
    part, word = ADDRESS_PART.c, ADDRESS_WORD.c
    words = select(part.word).where(part.part >= piece, part.part < after(piece))
    return select(word.job_id).where(word.word.in_(words))


def _rows(firm_id: str) -> Select[Any]:
    job, client = TABLES["job"].c, TABLES["client"].c
    own = [job[name] for name in JOB_FIELDS[:-1]]
    theirs = [client[name].label(f"client_{name}") for name in CLIENT_FIELDS]
    return (
        select(job.thing_id, job.number, job.stage, *own, *theirs)
        .join(TABLES["client"], and_(client.firm_id == job.firm_id, client.thing_id == job.client_id))
        .where(job.firm_id == firm_id)
    )


def _put(connection: Connection, rows: Sequence[Row[Any]]) -> None:
    words: dict[str, frozenset[str]] = {row[0]: _words(row) for row in rows}
    known: set[str] = set().union(*words.values())
    new = [one for some in _some(sorted(known)) for one in _new(connection, some)]
    parts = [{"part": part, "word": word} for word in new for part in sorted(parts_of(word))]
    for some in _some(parts):
        connection.execute(insert(ADDRESS_PART), list(some))
    held = [{"word": word, "job_id": job_id} for job_id, own in words.items() for word in sorted(own)]
    for some in _some(held):
        connection.execute(insert(ADDRESS_WORD), list(some))


def _new(connection: Connection, words: Sequence[str]) -> list[str]:
    part = ADDRESS_PART.c
    there = set(connection.execute(select(part.word).where(part.word.in_(words), part.part == part.word)).scalars())
    return [one for one in words if one not in there]


def _words(row: Row[Any]) -> frozenset[str]:
    held: tuple[Any, ...] = tuple(row)[3:]
    return words_of(str(one) for one in held if one)


def _found(row: Row[Any]) -> Found:
    it = row._mapping  # noqa: SLF001
    client = " and ".join(one for one in (it["client_name"], it["client_second_name"]) if one)
    street, town = it["street"] or it["client_street"] or "", it["town"] or it["client_town"] or ""
    return Found(row[0], it["number"], it["title"] or "", client, street, town, it["stage"], _words(row))


def _some(held: Sequence[T]) -> Iterable[Sequence[T]]:
    return (held[at : at + AT_ONCE] for at in range(0, len(held), AT_ONCE))
