"""The worker's task that reads what signed jobs sold for: kept job files and results in, cents by kind of work out."""

from collections.abc import Sequence
from typing import Any

import msgspec

from app.domain.codec import from_plain
from app.domain.costing.compared import Sold, sold_of
from app.domain.costing.estimate import estimate
from app.domain.costing.lines import Line
from app.domain.costing.past import PastJob, worths
from app.interchange.job_file import read_job_file


def past_payload(signed: Sequence[tuple[str, str, bytes, bytes]]) -> list[tuple[str, str, bytes, bytes]]:
    """What the task is given: id, day, job file and results of each."""
    return list(signed)


def past_task(payload: Any, tell: Any) -> bytes:
    """Read every signed job."""
    found = []
    for done, (one, day, job_file, results) in enumerate(payload):
        tell(done / len(payload), "Reading signed jobs")
        read = read_job_file(job_file)
        plain = msgspec.json.decode(results)
        head, client = read.job.head, read.job.client
        title = ", ".join(part for part in (client.name, head.title) if part)
        sold = lines_of(plain) or sold_of(estimate(read.job, read.basis))
        found.append(PastJob(one, title, day, worths(read.job, sold)))
    return msgspec.json.encode(found)


def lines_of(results: Any) -> Sold | None:
    """The lines kept with what was offered; None where it keeps none."""
    if "lines" not in results or "selling" not in results:
        return None
    lines = tuple(from_plain(row, Line) for row in results["lines"])
    return Sold(lines, tuple(int(cents) for cents in results["selling"]))


def past_of(content: bytes) -> list[PastJob]:
    """What was read."""
    return msgspec.json.decode(content, type=list[PastJob])
