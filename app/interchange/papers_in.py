"""The worker's task that reads signed and offered papers: kept job files and results in, tasks and costs out."""

from collections.abc import Sequence
from typing import Any

import msgspec

from app.domain.costing.client_prices import tax_in
from app.domain.costing.compared import sold_of
from app.domain.costing.estimate import estimate
from app.domain.looking_back.paper import Paper, paper_of
from app.interchange.job_file import read_job_file
from app.interchange.past_in import lines_of


def papers_payload(papers: Sequence[tuple[str, bytes, bytes]]) -> list[tuple[str, bytes, bytes]]:
    """What the task is given: id, job file and results (nothing where none were kept) of each."""
    return list(papers)


def papers_task(payload: Any, tell: Any) -> bytes:
    """Read every paper: by the lines it kept, else by what its job works out to on its own basis."""
    found = []
    for done, (revision_id, job_file, results) in enumerate(payload):
        tell(done / len(payload), "Reading signed papers")
        found.append(_read(revision_id, job_file, results))
    return msgspec.json.encode(found)


def _read(revision_id: str, job_file: bytes, results: bytes) -> Paper:
    held = read_job_file(job_file)
    plain = msgspec.json.decode(results) if results else {}
    sold = lines_of(plain)
    if sold is not None and "contract_tax_cents" in plain:
        return paper_of(revision_id, held.job, held.basis, sold, int(plain["contract_tax_cents"]))
    worked = estimate(held.job, held.basis)
    return paper_of(revision_id, held.job, held.basis, sold or sold_of(worked), tax_in(held.job, worked))


def papers_of(content: bytes) -> list[Paper]:
    """What was read."""
    return msgspec.json.decode(content, type=list[Paper])
