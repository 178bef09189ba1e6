"""Ways to tamper with what is kept: rows of the record and of what stands beside it, a job file, the rows of a backup.

Each takes a chance and says what it did; the triggers that forbid it are dropped first.
"""

import json
import random
import sqlite3
import zipfile
from collections.abc import Callable, Mapping
from hashlib import sha256
from io import BytesIO
from typing import Any

from app.db.repositories.record import START, content_hash

Raw = sqlite3.Connection
Way = Callable[[Raw, random.Random], str]
TEXTS = ("id", "firm_id", "kind", "who", "at", "what", "body", "content_hash", "previous_hash", "hash", "answer")


def seqs(raw: Raw, upto: int | None = None) -> list[int]:
    """The numbers of the entries, or of those up to one."""
    return [row[0] for row in raw.execute("SELECT seq FROM record ORDER BY seq") if upto is None or row[0] <= upto]


def other(value: Any, chance: random.Random) -> Any:
    """Another value of the same kind: a sign of a text is another one, a number is one more."""
    if not isinstance(value, str):
        return (value or 0) + 1
    if not value:
        return "x"
    at = chance.randrange(len(value))
    return value[:at] + chance.choice([c for c in "0123456789abcdef" if c != value[at]]) + value[at + 1 :]


def set_to(raw: Raw, table: str, column: str, row: int, value: Any) -> None:
    """Write a value past the application; `row` is the row's number in the table."""
    raw.execute(f"UPDATE {table} SET {column} = ? WHERE rowid = ?", (value, row))


def edit_in(table: str, *columns: str) -> Way:
    """One value of one row is another."""

    def way(raw: Raw, chance: random.Random) -> str:
        column = chance.choice(columns)
        number, value = chance.choice(raw.execute(f"SELECT rowid, {column} FROM {table}").fetchall())
        set_to(raw, table, column, number, other(value, chance))
        return f"{table}.{column} of row {number}"

    return way


def swap_in(table: str, *columns: str) -> Way:
    """Two rows hold each other's values."""

    def way(raw: Raw, chance: random.Random) -> str:
        wanted = ", ".join(columns)
        rows = raw.execute(f"SELECT rowid, {wanted} FROM {table}").fetchall()
        one, two = chance.choice([(a, b) for a in rows for b in rows if a[0] < b[0] and a[1:] != b[1:]])
        for at, column in enumerate(columns, 1):
            set_to(raw, table, column, one[0], f"~{one[0]}" if column in {"id", "hash"} else one[at])
            set_to(raw, table, column, two[0], one[at])
            set_to(raw, table, column, one[0], two[at])
        return f"{table}: {wanted} of {one[0]} and {two[0]}"

    return way


def delete_from(table: str) -> Way:
    """One row is gone."""

    def way(raw: Raw, chance: random.Random) -> str:
        (number,) = chance.choice(raw.execute(f"SELECT rowid FROM {table}").fetchall())
        raw.execute(f"DELETE FROM {table} WHERE rowid = ?", (number,))
        return f"{table}: row {number} gone"

    return way


def cut_tail(*, counted: bool) -> Way:
    """The newest entries are gone with their edits; `counted`: the counter says so too."""

    def way(raw: Raw, chance: random.Random) -> str:
        left = chance.choice(seqs(raw)[:-1])
        _cut(raw, left)
        if counted:
            raw.execute("UPDATE counter SET value = ? WHERE scope = 'record'", (left,))
        return f"cut after {left}{', counter set back' if counted else ''}"

    return way


def _cut(raw: Raw, left: int) -> None:
    raw.execute("DELETE FROM record_edit WHERE seq > ?", (left,))
    raw.execute("DELETE FROM record WHERE seq > ?", (left,))


def forge(newest: Callable[[Raw], int], *, gone: bool) -> Way:
    """An entry up to the newest that a backup knows is another, or gone, and all hashes from there on are made anew."""

    def way(raw: Raw, chance: random.Random) -> str:
        seq = chance.choice(seqs(raw, newest(raw)))
        if gone:
            raw.execute("DELETE FROM record_edit WHERE seq = ?", (seq,))
            raw.execute("DELETE FROM record WHERE seq = ?", (seq,))
        else:
            (body,) = raw.execute("SELECT body FROM record WHERE seq = ?", (seq,)).fetchone()
            told = {**json.loads(body), "what": "Something else"}
            set_to(raw, "record", "what", seq, told["what"])
            set_to(raw, "record", "body", seq, json.dumps(told, sort_keys=True, separators=(",", ":")))
        chained(raw)
        return f"entry {seq} {'gone' if gone else 'another'}, all hashes made anew"

    return way


def chained(raw: Raw) -> None:
    """Make all hashes anew, so that the chain holds."""
    previous = START
    for row in raw.execute("SELECT seq, body, kind, firm_id, epoch, answer FROM record ORDER BY seq").fetchall():
        content = content_hash(row[1].encode(), *row[2:])
        own = sha256((previous + content).encode()).hexdigest()
        words = "UPDATE record SET content_hash = ?, previous_hash = ?, hash = ? WHERE seq = ?"
        raw.execute(words, (content, previous, own, row[0]))
        previous = own


def in_database(newest: Callable[[Raw], int]) -> tuple[Way, ...]:
    """The ways in the rows of a database."""
    return (
        edit_in("record", *TEXTS),
        edit_in("record", "epoch"),
        delete_from("record"),
        swap_in("record", "body", "content_hash"),
        swap_in("record", "id", "who", "at", "what", "body", "content_hash", "hash"),
        cut_tail(counted=False),
        cut_tail(counted=True),
        forge(newest, gone=False),
        forge(newest, gone=True),
        edit_in("record_edit", "kind", "thing_id", "version"),
        swap_in("record_edit", "thing_id", "version"),
        delete_from("record_edit"),
        edit_in("revision_file", "file"),
        swap_in("revision_file", "file"),
        delete_from("revision_file"),
        edit_in("zone", "version", "last_change"),
        delete_from("zone"),
    )


def of_rows(content: bytes, chance: random.Random) -> bytes:
    """Rows as lines of which one is another, gone or twice, two hold each other's body, or the last are cut off."""
    rows = [json.loads(line) for line in content.splitlines()]
    at, kind = chance.randrange(len(rows) - 1), chance.randrange(5)
    if kind == 0:
        column = chance.choice(TEXTS)
        rows[at][column] = other(rows[at][column], chance)
    elif kind == 1:
        one, two = rows[at], rows[at + 1]
        one["body"], two["body"] = two["body"], one["body"]
    new = [rows, rows, rows[:at] + rows[at + 1 :], rows[: at + 1], [*rows, rows[at]]][kind]
    return "".join(json.dumps(row) + "\n" for row in new).encode()


def of_archive(content: bytes, name: str, sums: str, new: Callable[[bytes], bytes], *, summed: bool) -> bytes:
    """A zip with one file changed; `summed`: its list of checksums made to fit."""
    out = BytesIO()
    with zipfile.ZipFile(BytesIO(content)) as held, zipfile.ZipFile(out, "w") as made:
        files = {one: held.read(one) for one in held.namelist()}
        before = sha256(files[name]).hexdigest().encode()
        files[name] = new(files[name])
        if summed:
            files[sums] = files[sums].replace(before, sha256(files[name]).hexdigest().encode())
        for one, told in files.items():
            made.writestr(one, told)
    return out.getvalue()


def of_job_file(content: bytes, chance: random.Random) -> bytes:
    """A job file with one value or sign another, a part gone, two things swapped, or its end cut off."""
    plain = json.loads(content)
    kind = chance.randrange(5)
    if kind == 0:
        return content[: chance.randrange(1, len(content))]
    if kind == 1:
        at = chance.choice([n for n, sign in enumerate(content) if sign in b"0123456789abcdefghijk"])
        return content[:at] + bytes([content[at] ^ 1]) + content[at + 1 :]
    places = list(_places(plain["job"] if chance.random() < 0.7 else plain["basis"]))
    if kind == 2:
        holder, key = chance.choice([one for one in places if isinstance(one[0][one[1]], str | int | float)])
        holder[key] = other(holder[key], chance)
    elif kind == 3:
        holder, key = chance.choice(places)
        del holder[key]
    else:
        lists = [holder[key] for holder, key in places if isinstance(holder[key], list)]
        rows = chance.choice([rows for rows in lists if len(rows) > 1 and rows[0] != rows[1]])
        rows[0], rows[1] = rows[1], rows[0]
    return json.dumps(plain).encode()


def _places(plain: Any) -> Any:
    """Every place in plain data: what holds it, and its key or number."""
    pairs = plain.items() if isinstance(plain, Mapping) else enumerate(plain) if isinstance(plain, list) else ()
    for key, value in list(pairs):
        yield plain, key
        yield from _places(value)
