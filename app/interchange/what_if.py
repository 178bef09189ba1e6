"""The worker's task that changes one driver of a job at a time: a job file in, what each does to the price out."""

from typing import Any

import msgspec

from app.domain.basis import Basis
from app.domain.costing.estimate import estimate
from app.domain.costing.sensitivity import Swing, sensitivity
from app.domain.job import Job
from app.interchange.job_file import read_job_file, write_job_file
from app.interchange.trimming import trimmed


def what_if_payload(job: Job, basis: Basis) -> dict[str, Any]:
    """What the task is given."""
    return {"job": write_job_file(job, trimmed(basis, job))}


def what_if_task(payload: Any, tell: Any) -> bytes:
    """Change every driver."""
    words = "Working out what each driver does"
    tell(0.0, words)
    read = read_job_file(payload["job"])
    worked = estimate(read.job, read.basis)
    return msgspec.json.encode(sensitivity(read.job, read.basis, worked, lambda share: tell(share, words)))


def swings_of(content: bytes) -> tuple[Swing, ...]:
    """What came out."""
    return msgspec.json.decode(content, type=tuple[Swing, ...])
