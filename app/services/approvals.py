"""Approvals of a job as the Phases sheet lists them: what was asked for when, and by when it is there."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from app.domain.findings import Finding
from app.domain.job import Approval
from app.domain.phasing.approvals import phases_waiting
from app.services.sheets import Sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class ApprovalLine:
    """An approval with the day it is there, or due, and the number of the phase that waits for it."""

    approval: Approval
    there: date
    phase: int | None
    findings: tuple[Finding, ...]
    run_out: bool = False

    @property
    def state(self) -> str:
        """Where it stands: run out, approved, comments to answer, submitted, not asked for."""
        if self.run_out:
            return "run out"
        if self.approval.approved:
            return "approved"
        if self.approval.has_comments:
            return "comments to answer"
        return "submitted" if self.approval.submitted else "not asked for"


def approval_lines(view: Sheet) -> Sequence[ApprovalLine]:
    """Every approval, those still waited for first."""
    lines = [
        ApprovalLine(
            approval=one,
            there=one.there_on(view.today),
            phase=next((phase.number for phase in phases_waiting(view.job, one)), None),
            run_out=one.has_run_out(view.today),
            findings=tuple(found for found in view.findings if found.where == f"approval:{one.id}"),
        )
        for one in view.job.approvals
    ]
    return sorted(lines, key=lambda line: (line.approval.approved is not None, line.there, line.approval.title))
