"""What was measured in a yard with tape and level, told in the job's file and typed as the crew reads it."""

from collections.abc import Iterator, Mapping
from typing import Any
from uuid import UUID, uuid4

from app.domain.job import Mark
from app.domain.units import parse_length
from app.services import jobs, marks
from app.services.jobs import Order
from app.services.office import Office


def measure_yard(office: Office, job_id: UUID, told: Mapping[str, Any]) -> None:
    """Make the marks of a file in their order with their tapes, then the setups and what the rod read from each."""
    for one in told.get("mark", ()):
        given = {name: one[name] for name in ("title", "x", "y", "level", "side", "on_ground") if name in one}
        mark_id = marks.add_mark(office, job_id, given, _order())
        for place, tape in enumerate(one.get("tapes", ())):
            values = {"from_id": _mark(office, job_id, tape["from"]).id, "length": parse_length(tape["length"]).feet}
            marks.add_tape(office, job_id, mark_id, values, _version(office, job_id, mark_id), _order())
            if tape.get("left_out"):
                out = {"does": "leave-out"}
                marks.change_tape(office, job_id, mark_id, place, out, _version(office, job_id, mark_id), _order())
    for setup in told.get("setup", ()):
        values = {
            "title": setup["title"],
            "benchmark_id": _mark(office, job_id, setup["benchmark"]).id,
            "backsight": parse_length(setup["backsight"]).feet,
        }
        setup_id = marks.add_setup(office, job_id, values, _order())
        for name, reading in _read_from(told, setup["key"]):
            read = {"mark_id": _mark(office, job_id, name).id, "reading": parse_length(reading).feet}
            marks.read_rod(office, job_id, setup_id, read, _order())


def _read_from(told: Mapping[str, Any], setup: str) -> Iterator[tuple[str, str]]:
    """The marks that were read from a setup, and what the rod said."""
    return ((one["title"], one["rods"][setup]) for one in told.get("mark", ()) if setup in one.get("rods", {}))


def _mark(office: Office, job_id: UUID, title: str) -> Mark:
    return next(mark for mark in jobs.open_job(office, job_id).job.marks if mark.title == title)


def _version(office: Office, job_id: UUID, mark_id: UUID) -> int:
    return jobs.open_job(office, job_id).version("mark", mark_id)


def _order() -> Order:
    return Order(change_id=uuid4())
