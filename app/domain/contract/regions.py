"""Whose law a contract stands under, as far as the library knows: the state of the job, else the one the firm names."""

from collections.abc import Iterable
from dataclasses import dataclass

from app.domain.basis import Basis, Firm, Rule
from app.domain.contract.cancelling import BUSINESS_DAYS
from app.domain.job import Job

DAYS_TO_CANCEL = "days-to-cancel"


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a state asks of the writing, in our words, with its source. `region`: letters and name of the state."""

    region: str
    words: str
    source: str


def region_of(job: Job, firm: Firm) -> str:
    """The state of the yard as typed, else the firm's region, else its state; empty where nobody said."""
    return job.head.state or job.client.state or firm.region or firm.state


def is_of(region: str, named: str) -> bool:
    """Whether a row's region (`PA, Pennsylvania`) is the one that was typed: its letters, or its name at the start.

    >>> is_of("PA, Pennsylvania", "pa"), is_of("PA, Pennsylvania", "Pennsylvania, reviewed")
    (True, True)
    >>> is_of("CA, California", "PA")
    False
    """
    letters, _, name = region.lower().partition(", ")
    said = named.strip().lower()
    return bool(said) and (said == letters or said.startswith(name or letters + " "))


def rules_of(basis: Basis, prefix: str, named: str) -> tuple[Rule, ...]:
    """The rules whose id begins with `prefix` and that hold in a region."""
    return tuple(one for key, one in basis.rules.items() if key.startswith(prefix) and is_of(one.region, named))


def days_to_cancel(basis: Basis) -> int:
    """Business days to cancel: the firm's own value where it has one, never less than the federal three."""
    rule = basis.rules.get(DAYS_TO_CANCEL)
    return max(BUSINESS_DAYS, round(rule.value)) if rule else BUSINESS_DAYS


def asked_in(asked: Iterable[Asked], named: str) -> tuple[Asked, ...]:
    """What is known to be asked for in a region."""
    return tuple(one for one in asked if is_of(one.region, named))
