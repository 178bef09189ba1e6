"""The worker's task that plans the phases of a job: job, basis and what is asked in, the order found out."""

from datetime import date
from typing import Any

import msgspec

from app.domain.basis import Basis
from app.domain.codec import from_plain, to_plain
from app.domain.job import Job
from app.domain.phasing.planner import Asked, Found, plan
from app.worker.fitting import get_ready, solved_within

__all__ = ["get_ready", "plan_of", "plan_payload", "plan_task"]


def plan_payload(job: Job, basis: Basis, asked: Asked, today: date) -> dict[str, Any]:
    """What the task is given, as plain values."""
    told = {"asked": to_plain(asked), "today": today.isoformat()}
    return {"job": to_plain(job), "basis": to_plain(basis), **told}


def plan_task(payload: Any, tell: Any) -> bytes:
    """Plan the phases."""
    tell(0.0, "Trying orders")
    job, basis = from_plain(payload["job"], Job), from_plain(payload["basis"], Basis)
    asked, today = from_plain(payload["asked"], Asked), date.fromisoformat(payload["today"])
    return msgspec.json.encode(plan(job, basis, asked, solved_within, today))


def plan_of(content: bytes) -> Found:
    """What the task found."""
    return msgspec.json.decode(content, type=Found)
