"""Whose law a contract stands under, as far as the library knows: the state of the job, else the one the firm names."""

from collections.abc import Iterable
from dataclasses import dataclass

from app.domain.basis import Basis
from app.domain.checks.regions import is_of
from app.domain.contract.cancelling import BUSINESS_DAYS

DAYS_TO_CANCEL = "days-to-cancel"


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a state asks of the writing, in our words, with its source. `region`: letters and name of the state."""

    region: str
    words: str
    source: str


def days_to_cancel(basis: Basis) -> int:
    """Business days to cancel: the firm's own value where it has one, never less than the federal three."""
    rule = basis.rules.get(DAYS_TO_CANCEL)
    return max(BUSINESS_DAYS, round(rule.value)) if rule else BUSINESS_DAYS


def asked_in(asked: Iterable[Asked], named: str) -> tuple[Asked, ...]:
    """What is known to be asked for in a region."""
    return tuple(one for one in asked if is_of(one.region, named))
