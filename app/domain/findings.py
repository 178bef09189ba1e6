"""What was computed all right, but should be known: the open points ("to settle" on the page)."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How loud a finding speaks."""

    STOP = "stop"
    WARN = "warn"
    NOTE = "note"
    NOT_CHECKED = "not checked"


class Stop(StrEnum):
    """Which kind of stop a finding is before signing; NONE never stops."""

    LAW = "law"  # law and safety: no way round
    MONEY = "money"  # the owner may go on with name and reason
    REGION = "region"  # the firm's own reviewed terms settle it
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One open point.

    `where` is a place key (`zone:ID`, `work:ID`, `material:KEY`, `job`), `measured` and `limit` are words with
    their unit, `remedy` says what to do about it.
    """

    rule: str
    severity: Severity
    where: str
    what: str
    measured: str = ""
    limit: str = ""
    source: str = ""
    remedy: str = ""
    stop: Stop = Stop.NONE

    def __hash__(self) -> int:
        """By what tells nearly all of them apart: they are looked up by the hundred."""
        return hash((self.rule, self.where, self.what))

    @property
    def key(self) -> str:
        """Names this finding when somebody settles it: its rule, its place and what it rests on."""
        return f"{self.rule}|{self.where}|{self.measured}|{self.limit}"


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Sort findings the loudest first, then by place and rule, so that the list does not jump about."""
    rank = {severity: place for place, severity in enumerate(Severity)}
    return tuple(sorted(findings, key=lambda f: (rank[f.severity], f.where, f.rule, f.what)))
