"""The job without its daily log, its money and its orders: one object while only those grow, so that prices stay."""

from dataclasses import fields, replace
from typing import Any

from app.domain.job.whole import Job
from app.domain.keeping import KeptByInputs

LOG = ("logged_hours", "said_done", "logged_weather", "logged_delays", "logged_visits", "logged_receipts")
MONEY = ("reached_milestones", "received_payments", "paid_out")
ORDERS = (
    "supply_orders",
    "backorders",
    "substitutes",
    "deliveries",
    "pallets_back",
    "supplier_bills",
    "approved_samples",
)
_LEFT_OUT = (*LOG, *MONEY, *ORDERS)
_REST = tuple(one.name for one in fields(Job) if one.name not in _LEFT_OUT)
_UNLOGGED: KeptByInputs[Job] = KeptByInputs(64, each=1)


def unlogged(job: Job) -> Job:
    """A job as it is designed, priced and built, whatever was written down of its days."""
    if not any(getattr(job, name) for name in _LEFT_OUT):
        return job
    none: dict[str, Any] = dict.fromkeys(_LEFT_OUT, ())
    rests_on = tuple(getattr(job, name) for name in _REST)
    return _UNLOGGED.get_or_make(job.head.id, rests_on, lambda: replace(job, **none))
