"""The payment table as it stands: each milestone not reached, reached, invoiced or paid."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from app.domain.billing.account import Account, InvoiceState, Standing
from app.domain.billing.contract import Contract, Milestone
from app.domain.billing.invoice import LineKind
from app.domain.job.billed import ReachedMilestone


class MilestoneState(StrEnum):
    """How a milestone stands."""

    AHEAD = "not reached"
    REACHED = "reached"
    INVOICED = "invoiced"
    PAID = "paid"


@dataclass(frozen=True, slots=True, kw_only=True)
class MilestoneRow:
    """A milestone with what was said of it, and the invoice that bills it."""

    milestone: Milestone
    reached: ReachedMilestone | None
    standing: Standing | None

    @property
    def state(self) -> MilestoneState:
        """How it stands."""
        if self.standing is not None:
            paid = self.standing.state in (InvoiceState.PAID, InvoiceState.CREDIT)
            return MilestoneState.PAID if paid else MilestoneState.INVOICED
        return MilestoneState.REACHED if self.reached else MilestoneState.AHEAD


def milestone_rows(
    contract: Contract, reached: Sequence[ReachedMilestone], account: Account
) -> tuple[MilestoneRow, ...]:
    """The payment table of a contract, in its order."""
    said: Mapping[str, ReachedMilestone] = {one.milestone: one for one in reversed(reached)}
    billed = {key: row for row in account.rows for key in row.invoice.of(LineKind.DRAW)}
    return tuple(
        MilestoneRow(milestone=one, reached=said.get(one.key), standing=billed.get(one.key))
        for one in contract.milestones
    )


def to_bill(rows: Sequence[MilestoneRow]) -> tuple[MilestoneRow, ...]:
    """What is reached and on no invoice yet."""
    return tuple(one for one in rows if one.state is MilestoneState.REACHED)
