"""The record of one job as it leaves a machine: a stretch of that machine's chain that can be checked anywhere.

Entries about other jobs stand in it by the hash of their content alone: every link holds, and nothing of them leaves.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import reduce
from hashlib import sha256
from typing import Any

import msgspec

from app.domain.codec import canonical_bytes, from_plain, to_plain
from app.domain.errors import BadValue

FORMAT, VERSION = "outlay record of a job", 1
HELD_TWICE = ("id", "who", "what")  # what an entry says and its body too


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainEntry:
    """One entry about the job: what was done by whom when, and all that its hash is of."""

    content: str  # the hash the chain holds of it
    id: str
    kind: str
    firm_id: str
    epoch: int
    answer: str
    who: str
    at: str
    what: str
    body: str
    undoes: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """A stretch of a record: the hash before it, and its links; those of other jobs are the hash of their content."""

    previous: str
    links: tuple[ChainEntry | str, ...] = ()

    @property
    def hashes(self) -> tuple[str, ...]:
        """The hash of each link, over all that came before it."""
        found: list[str] = []
        for link in self.links:
            found.append(linked(found[-1] if found else self.previous, content_of(link)))
        return tuple(found)

    @property
    def head(self) -> str:
        """The hash of its newest link."""
        return reduce(linked, map(content_of, self.links), self.previous)

    @property
    def entries(self) -> tuple[ChainEntry, ...]:
        """What is about the job, oldest first."""
        return tuple(link for link in self.links if isinstance(link, ChainEntry))


def linked(previous: str, content: str) -> str:
    """The hash of a link: of the one before it and of its content. Source: as `db/repositories/record` chains entries.

    >>> linked("00", "ab") == sha256(b"00ab").hexdigest()
    True
    """
    return sha256((previous + content).encode()).hexdigest()


def content_of(link: ChainEntry | str) -> str:
    """The hash of a link's content."""
    return link if isinstance(link, str) else link.content


def entry_hash(body: bytes, kind: str, firm_id: str, epoch: int, answer: str) -> str:
    """The hash of all that an entry says: its body, and what stands beside it and not in it."""
    beside = canonical_bytes([kind, firm_id, epoch, answer])
    return sha256(sha256(body).digest() + beside).hexdigest()


def holds(entry: ChainEntry) -> bool:
    """Whether an entry is what was hashed: all of it, or (of older releases) its body. One that was erased is not."""
    body = entry.body.encode()
    whole = entry_hash(body, entry.kind, entry.firm_id, entry.epoch, entry.answer)
    return entry.content in (whole, sha256(body).hexdigest())


def chain_bytes(chain: Chain) -> bytes:
    """A chain as canonical JSON."""
    return canonical_bytes({"format": FORMAT, "version": VERSION, **to_plain(chain), "head": chain.head})


def read_chain(content: bytes) -> Chain:
    """A chain whose every link holds.

    Raises: BadValue where it is none, where a link does not hold, or an entry says otherwise than its own body.
    """
    try:
        plain: dict[str, Any] = msgspec.json.decode(content)
        chain = from_plain({"previous": plain["previous"], "links": plain["links"]}, Chain)
        if (plain["format"], plain["version"]) != (FORMAT, VERSION) or chain.head != plain["head"]:
            raise BadValue("The record in this file does not hold: a link of its chain is not what it was.")
        for entry in chain.entries:
            if not holds(entry) or not _says_as_its_body(entry, msgspec.json.decode(entry.body)):
                raise BadValue(f"The record in this file does not hold: “{entry.what[:60]}” is not what was recorded.")
    except (msgspec.DecodeError, KeyError, TypeError, ValueError) as wrong:
        raise BadValue("The record in this file cannot be read.") from wrong
    return chain


def _says_as_its_body(entry: ChainEntry, body: Mapping[str, Any]) -> bool:
    same = all(getattr(entry, name) == body[name] for name in HELD_TWICE) and entry.undoes == body.get("undoes")
    return same and datetime.fromisoformat(entry.at) == datetime.fromisoformat(body["when"])
