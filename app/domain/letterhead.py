"""The head of every paper that a client signs: who offers what to whom, since when and until when."""

from dataclasses import dataclass, fields
from datetime import date, timedelta
from typing import Any

from app.domain.basis import Firm
from app.domain.job import Client, Job


@dataclass(frozen=True, slots=True, kw_only=True)
class Letterhead:
    """What a paper begins with. `mark` is the hash of the firm's picture; `signers` sign it in this order."""

    firm_name: str
    firm_lines: tuple[str, ...]
    mark: str
    client_names: tuple[str, ...]
    client_lines: tuple[str, ...]
    title: str
    number: int
    made_on: date
    holds_until: date
    signers: tuple[str, ...]


def letterhead(job: Job, firm: Firm, *, number: int, made_on: date) -> Letterhead:
    """The head of a paper of a job, made on a day; it holds as long as the job says."""
    head, client = job.head, job.client
    names = tuple(name for name in (client.name, client.second_name) if name)
    return Letterhead(
        firm_name=firm.name,
        firm_lines=_lines(
            firm.street,
            _place(firm.town, firm.state, firm.postal_code),
            firm.phone,
            firm.email,
            f"License {firm.license}" if firm.license else "",
        ),
        mark=firm.mark,
        client_names=names,
        client_lines=_lines(head.street or client.street, _of_job(job, client)),
        title=head.title,
        number=number,
        made_on=made_on,
        holds_until=made_on + timedelta(days=head.holds_days),
        signers=names or ("Client",),
    )


def head_fields(head: Letterhead) -> dict[str, Any]:
    """The fields of a head by name, for the paper that has them."""
    return {field.name: getattr(head, field.name) for field in fields(Letterhead)}


def _of_job(job: Job, client: Client) -> str:
    head = job.head
    return _place(head.town or client.town, head.state or client.state, head.postal_code or client.postal_code)


def _lines(*lines: str) -> tuple[str, ...]:
    return tuple(line for line in lines if line)


def _place(town: str, state: str, code: str) -> str:
    """Town, state and code in a line; a state alone is no place a letter goes to.

    >>> _place("Alder Ferry", "PA", ""), _place("", "PA", ""), _place("", "PA", "00000")
    ('Alder Ferry, PA', '', 'PA 00000')
    """
    if not (town or code):
        return ""
    return " ".join(part for part in (f"{town}," if town and state else town, state, code) if part)
