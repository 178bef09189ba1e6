"""Letters as rows: made, tried, sent or not."""

from dataclasses import dataclass, fields
from typing import Any

from sqlalchemy import Connection, delete, desc, insert, select, update

from app.db.tables.mail import MAIL
from app.domain.mail import SENDING, WAITING


@dataclass(frozen=True, slots=True, kw_only=True)
class Mail:
    """One letter with a copy. Moments are ISO in UTC."""

    id: str
    job_id: str
    revision_id: str
    address: str
    file: str
    made_at: str
    state: str
    next_at: str
    tries: int = 0
    ended_at: str = ""
    why: str = ""


def insert_mail(connection: Connection, firm_id: str, one: Mail) -> None:
    """Keep a new letter."""
    connection.execute(
        insert(MAIL).values(firm_id=firm_id, **{field.name: getattr(one, field.name) for field in fields(Mail)})
    )


def mail_of_job(connection: Connection, firm_id: str, job_id: str) -> list[Mail]:
    """The letters of a job, the newest first."""
    query = select(MAIL).where(MAIL.c.firm_id == firm_id, MAIL.c.job_id == job_id).order_by(desc(MAIL.c.made_at))
    return [_mail(row) for row in connection.execute(query)]


def read_mail(connection: Connection, firm_id: str, mail_id: str) -> Mail | None:
    """One letter, or None."""
    row = connection.execute(select(MAIL).where(MAIL.c.firm_id == firm_id, MAIL.c.id == mail_id)).one_or_none()
    return None if row is None else _mail(row)


def due(connection: Connection, firm_id: str, now: str) -> Mail | None:
    """The letter that waits longest and is to be tried by now; one whose try was cut off comes again."""
    open_ones = MAIL.c.state.in_((WAITING, SENDING))
    query = select(MAIL).where(MAIL.c.firm_id == firm_id, open_ones, MAIL.c.next_at <= now).order_by(MAIL.c.next_at)
    row = connection.execute(query.limit(1)).one_or_none()
    return None if row is None else _mail(row)


def write_mail(connection: Connection, one: Mail) -> None:
    """Write what became of a letter."""
    told = {name: getattr(one, name) for name in ("state", "next_at", "tries", "ended_at", "why")}
    connection.execute(update(MAIL).where(MAIL.c.id == one.id).values(**told))


def remove_mail(connection: Connection, job_ids: Any) -> None:
    """Letters of jobs whose client is erased."""
    connection.execute(delete(MAIL).where(MAIL.c.job_id.in_(job_ids)))


def _mail(row: Any) -> Mail:
    return Mail(**{field.name: getattr(row, field.name) for field in fields(Mail)})
