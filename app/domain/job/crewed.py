"""Who is on what on a day, and the checks signed for in the yard: each a thing of its own, made once.

Zone and phase are named by their ids as text, as in the daily log: what was signed for stays when a zone goes.
"""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from app.domain.job.daily import WHOLE_JOB


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewOn:
    """Who works at a stage of a place from a day on, until another day says otherwise. Nobody: all who are left."""

    id: UUID
    day: date
    people: tuple[str, ...] = ()  # keys of the firm's crew
    zone: str = WHOLE_JOB
    phase: str = ""
    stage: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedCheck:
    """A check that somebody signed for by name: its words as they were signed, where, when and on which device."""

    id: UUID
    day: date
    words: str
    name: str
    zone: str = WHOLE_JOB
    phase: str = ""
    stage: str = ""
    said_by: str = ""
    said_at: datetime | None = None
