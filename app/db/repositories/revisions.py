"""Revisions as rows: what was handed out, in which state, with which files by hash."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import msgspec
from sqlalchemy import Connection, Select, desc, func, insert, select, update

from app.db.tables.office import REVISION, REVISION_FILE
from app.db.tables.takings import TAKING

NUMBERS_AWAY = (
    10  # numbers of each kind of revision kept for a machine that took the job along: no two papers share one
)


DECLINED = "declined"  # by the client: the table's own word for an offer that was closed is “withdrawn”


CONTRACTOR = "contractor"  # the role of whoever signs for the firm


@dataclass(frozen=True, slots=True, kw_only=True)
class Signer:
    """Who signs: name and role; when and how once signed."""

    name: str
    role: str = "client"
    signed_at: str = ""
    how: str = ""  # "drawn" or "on paper"
    device: str = ""
    consented_at: str = ""  # to an electronic record, before signing on a screen
    consented_on: str = ""  # with which device
    consent_to: str = ""  # the edition of what they were told
    place: str = ""  # where: "home" (the client's), "office" (ours), "elsewhere"; empty: it was not asked


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """One revision that was handed out."""

    id: str
    job_id: str
    number: int
    kind: str
    state: str
    issued_at: str
    holds_until: date | None
    price_cents: int | None
    job_counter: int
    signers: tuple[Signer, ...]
    files: Mapping[str, str]  # role → hash
    closed_at: str = ""  # since when it is declined, withdrawn or superseded; empty where no release wrote it down
    closed_why: str = ""

    @property
    def waits_for(self) -> tuple[str, ...]:
        """Names of those who have yet to sign."""
        return tuple(signer.name for signer in self.signers if not signer.signed_at)

    @property
    def signed_file(self) -> str:
        """The hash of the newest signed copy, or empty."""
        roles = [role for role in self.files if role.startswith("signed-")]
        return self.files[max(roles, key=lambda role: int(role.split("-")[1]))] if roles else ""


def revisions_of(connection: Connection, job_id: str) -> list[Revision]:
    """All revisions of a job, the newest first."""
    query = select(REVISION).where(REVISION.c.job_id == job_id).order_by(desc(REVISION.c.issued_at))
    return [_revision(connection, row) for row in connection.execute(query)]


def revisions_where(connection: Connection, query: Select[Any]) -> list[Revision]:
    """The revisions that a query of their rows finds, in its order."""
    return [_revision(connection, row) for row in connection.execute(query)]


def offered_proposals(connection: Connection, firm_id: str) -> list[Revision]:
    """Every proposal of the firm that is offered and not signed by all, the newest first."""
    offered = (REVISION.c.firm_id == firm_id, REVISION.c.state == "offered", REVISION.c.kind == "proposal")
    query = select(REVISION).where(*offered).order_by(desc(REVISION.c.issued_at))
    return [_revision(connection, row) for row in connection.execute(query)]


def signed_proposals(connection: Connection, firm_id: str) -> list[Revision]:
    """Every proposal of the firm that is signed by all, the newest first."""
    signed = (REVISION.c.firm_id == firm_id, REVISION.c.state == "signed", REVISION.c.kind == "proposal")
    query = select(REVISION).where(*signed).order_by(desc(REVISION.c.issued_at))
    return [_revision(connection, row) for row in connection.execute(query)]


def read_revision(connection: Connection, firm_id: str, revision_id: str) -> Revision | None:
    """One revision, or None."""
    query = select(REVISION).where(REVISION.c.firm_id == firm_id, REVISION.c.id == revision_id)
    row = connection.execute(query).one_or_none()
    return None if row is None else _revision(connection, row)


def revision_of_file(connection: Connection, firm_id: str, file: str) -> tuple[str, int] | None:
    """Kind and number of the revision that a kept file, by its hash, is of; None where none has it."""
    query = (
        select(REVISION.c.kind, REVISION.c.number)
        .join(REVISION_FILE, REVISION_FILE.c.revision_id == REVISION.c.id)
        .where(REVISION.c.firm_id == firm_id, REVISION_FILE.c.file == file)
    )
    row = connection.execute(query).first()
    return None if row is None else (row.kind, row.number)


def next_number(connection: Connection, job_id: str, kind: str) -> int:
    """The number after the highest of its kind; while the job is away, after those that may be given there."""
    query = select(func.max(REVISION.c.number)).where(REVISION.c.job_id == job_id, REVISION.c.kind == kind)
    highest = int(connection.execute(query).scalar_one() or 0)
    away = select(TAKING.c.side, TAKING.c.numbers).where(TAKING.c.job_id == job_id, TAKING.c.state == "out")
    kept: list[int] = [
        row.numbers.get(kind, 0) + (NUMBERS_AWAY if row.side == "lent" else 0) for row in connection.execute(away)
    ]
    return max((highest, *kept)) + 1


def insert_revision(connection: Connection, firm_id: str, one: Revision, sizes: Mapping[str, int]) -> None:
    """Keep a new revision with its files."""
    connection.execute(
        insert(REVISION).values(
            id=one.id,
            firm_id=firm_id,
            job_id=one.job_id,
            number=one.number,
            kind=one.kind,
            **_state(one.state, one.closed_at, one.closed_why),
            issued_at=one.issued_at,
            holds_until=one.holds_until.isoformat() if one.holds_until else None,
            price_cents=one.price_cents,
            job_counter=one.job_counter,
            signers=_signers_text(one.signers),
        )
    )
    for role, file in one.files.items():
        add_file(connection, one.id, role, file, sizes[role])


def add_file(connection: Connection, revision_id: str, role: str, file: str, size: int) -> None:
    """Add a file to a revision; files are never changed or taken away."""
    connection.execute(insert(REVISION_FILE).values(revision_id=revision_id, role=role, file=file, size=size))


def set_signers(connection: Connection, revision_id: str, signers: tuple[Signer, ...], state: str) -> None:
    """Write who has signed, and the state that follows."""
    connection.execute(
        update(REVISION).where(REVISION.c.id == revision_id).values(signers=_signers_text(signers), **_state(state))
    )


def supersede(connection: Connection, job_id: str, kind: str, at: str = "") -> None:
    """Earlier offers of a kind are superseded by a newer one, at a moment; what is signed stays signed."""
    connection.execute(
        update(REVISION)
        .where(REVISION.c.job_id == job_id, REVISION.c.kind == kind, REVISION.c.state == "offered")
        .values(state="superseded", closed_at=at)
    )


def set_state(connection: Connection, revision_id: str, state: str, at: str = "", why: str = "") -> None:
    """Write a state, since when and why: withdrawn, declined, superseded."""
    connection.execute(update(REVISION).where(REVISION.c.id == revision_id).values(_state(state, at, why)))


def _state(state: str, at: str = "", why: str = "") -> dict[str, str]:
    """A state as the columns have it."""
    declined = state == DECLINED
    known = {"state": "withdrawn" if declined else state, "closed_as": DECLINED if declined else ""}
    return {**known, "closed_at": at, "closed_why": why}


def _signers_text(signers: tuple[Signer, ...]) -> str:
    return msgspec.json.encode(signers).decode()


def _revision(connection: Connection, row: Any) -> Revision:
    files = connection.execute(
        select(REVISION_FILE.c.role, REVISION_FILE.c.file).where(REVISION_FILE.c.revision_id == row.id)
    )
    return Revision(
        id=row.id,
        job_id=row.job_id,
        number=row.number,
        kind=row.kind,
        state=row.closed_as or row.state,
        closed_at=row.closed_at,
        closed_why=row.closed_why,
        issued_at=row.issued_at,
        holds_until=date.fromisoformat(row.holds_until) if row.holds_until else None,
        price_cents=row.price_cents,
        job_counter=row.job_counter,
        signers=msgspec.json.decode(row.signers, type=tuple[Signer, ...]),
        files={role: file for role, file in files},  # noqa: C416 - rows, not pairs
    )
