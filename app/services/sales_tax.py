"""Sales tax of a job: how each line is treated and why, the rate of the yard, works with a rule of their own."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from app.domain.costing.tax import TaxGroup, rate_source, rate_words, tax_groups, tax_points
from app.domain.costing.tax_rules import TREATMENTS, WORK_TREATMENTS
from app.domain.errors import BadValue, NotFound
from app.domain.findings import Finding
from app.domain.job import Work
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import Order, changed
from app.services.office import Office
from app.services.sheets import Sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxSheet:
    """What the page shows of sales tax."""

    groups: Sequence[TaxGroup]
    words: Mapping[str, str]  # treatment → in words
    rate: str
    source: str
    points: Sequence[Finding]
    works: Sequence[tuple[str, str]]  # id and title of the works on this job
    ruled: Sequence[tuple[Work, str, str]]  # works with a rule of their own: title, the rule in words
    choices: Sequence[tuple[str, str]]


def tax_sheet(view: Sheet) -> TaxSheet:
    """Read how a job is taxed."""
    job, basis = view.job, view.basis
    titled = [(one, _title(view, one)) for one in job.works]
    return TaxSheet(
        groups=tax_groups(job, basis, view.estimate),
        words=TREATMENTS,
        rate=rate_words(job, basis.firm),
        source=rate_source(job, basis.firm),
        points=tax_points(job, basis, view.estimate),
        works=[(str(one.id), title) for one, title in titled],
        ruled=[(one, title, WORK_TREATMENTS[one.tax]) for one, title in titled if one.tax in WORK_TREATMENTS],
        choices=list(WORK_TREATMENTS.items()),
    )


def _title(view: Sheet, work: Work) -> str:
    recipe = view.basis.assemblies.get(work.assembly)
    return work.title or (recipe.title if recipe else work.assembly)


def set_rate(office: Office, job_id: UUID, fields: Mapping[str, Any], order: Order) -> Applied:
    """The rate where the yard lies, with place and day; without a rate, back to the firm's.

    Raises: BadValue where a rate comes without its place or day.
    """
    if fields.get("tax_rate") is None:
        fields = {"tax_rate": None, "tax_place": "", "tax_on": None}
    elif not fields.get("tax_place") or not fields.get("tax_on"):
        missing = "tax_on" if fields.get("tax_place") else "tax_place"
        raise BadValue("Say where this rate holds and on which day you asked.", field=missing)
    version = jobs.open_job(office, job_id).version_read(order, "job", job_id)
    edits = (changed("job", job_id, version, fields),)
    return jobs.save(office, job_id, edits, replace(order, what="Tax rate of this yard"))


def set_work_rule(office: Office, job_id: UUID, work_id: UUID, rule: tuple[str, str], order: Order) -> Applied:
    """A work taxed in a way of its own, with the reason; no treatment: as its lines say. Raises: NotFound, BadValue."""
    opened = jobs.open_job(office, job_id)
    if not any(one.id == work_id for one in opened.job.works):
        raise NotFound("There is no such work on this job (any more).")
    tax, reason = rule
    if tax and not reason:
        raise BadValue("Say why this work is taxed otherwise, and who told you so.", field="tax_reason")
    fields = {"tax": tax, "tax_reason": reason if tax else ""}
    edits = (changed("work", work_id, opened.version("work", work_id), fields),)
    return jobs.save(office, job_id, edits, replace(order, what="How a work is taxed"))
