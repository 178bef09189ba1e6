"""What each signed job was to leave over its direct cost, and what it left."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

DONE = "done"


@dataclass(frozen=True, slots=True, kw_only=True)
class JobMargin:
    """One signed job [cents]. `contract` is what stands signed, without the sales tax that the client pays.

    Bid and spent are direct costs: hours of the crew, and what is bought, let and given to subs. The owner's own hours
    are in neither. `unpaid_hours` were logged with no wage to cost them at.
    """

    job_id: str
    number: int
    title: str
    stage: str
    contract: int
    bid_labor: int
    bid_other: int
    labor: int
    receipts: int
    paid_out: int
    bills: int = 0  # of suppliers on orders, with deposits; money that a receipt tells of, too, is counted there
    unpaid_hours: float = 0.0

    @property
    def done(self) -> bool:
        """Whether the job is closed: what it left is known."""
        return self.stage == DONE

    @property
    def bid(self) -> int:
        """Direct cost as it was bid."""
        return self.bid_labor + self.bid_other

    @property
    def spent(self) -> int:
        """Direct cost so far."""
        return self.labor + self.receipts + self.paid_out + self.bills

    @property
    def bid_over(self) -> int:
        """What was to be left over direct cost, for overhead and profit."""
        return self.contract - self.bid

    @property
    def over(self) -> int:
        """What is left over what was spent."""
        return self.contract - self.spent

    @property
    def bid_share(self) -> float | None:
        """What was to be left, of the contract."""
        return self.bid_over / self.contract if self.contract else None

    @property
    def share(self) -> float | None:
        """What is left, of the contract."""
        return self.over / self.contract if self.contract else None

    @property
    def used(self) -> float | None:
        """What is spent, of the direct cost as it was bid."""
        return self.spent / self.bid if self.bid else None


@dataclass(frozen=True, slots=True)
class Margins:
    """All signed jobs: closed ones, whose margin is made, and those under way."""

    closed: tuple[JobMargin, ...]
    under_way: tuple[JobMargin, ...]

    @property
    def sum(self) -> JobMargin | None:
        """The closed ones together; None while there is none."""
        return together(self.closed) if self.closed else None


def margins(rows: Iterable[JobMargin]) -> Margins:
    """Closed jobs, the newest first, and those under way, the farthest spent first."""
    held = list(rows)
    closed = sorted((one for one in held if one.done), key=lambda one: -one.number)
    under_way = sorted((one for one in held if not one.done), key=lambda one: (-(one.used or 0.0), one.number))
    return Margins(tuple(closed), tuple(under_way))


def together(rows: Sequence[JobMargin]) -> JobMargin:
    """Jobs as one."""
    names = ("contract", "bid_labor", "bid_other", "labor", "receipts", "paid_out", "bills")
    sums = {name: sum(getattr(one, name) for one in rows) for name in names}
    hours = sum(one.unpaid_hours for one in rows)
    return JobMargin(job_id="", number=0, title="", stage=DONE, unpaid_hours=hours, **sums)
