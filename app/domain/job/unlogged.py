"""The job without what is written down of it: one object while only that grows, so that what is priced stays so."""

from dataclasses import fields, replace
from typing import Any

from app.domain.job.whole import Job
from app.domain.keeping import KeptByInputs

LOG = ("logged_hours", "said_done", "logged_weather", "logged_delays", "logged_visits", "logged_receipts")
CREW = ("crew_on", "signed_checks")
MONEY = ("reached_milestones", "received_payments", "paid_out", "released_packets", "lien_releases")
ORDERS = (
    "supply_orders",
    "backorders",
    "substitutes",
    "deliveries",
    "pallets_back",
    "supplier_bills",
    "approved_samples",
    "counted_materials",
)
AFTER = (
    "signed_tests",
    "punch_items",
    "handed_over",
    "built_notes",
    "warranty_visits",
    "warranty_calls",
    "show_permissions",
    "closings",
)
PAPERS = ("cut_sheets",)
WRITTEN = (*LOG, *CREW, *MONEY, *ORDERS, *AFTER, *PAPERS)
_REST = tuple(one.name for one in fields(Job) if one.name not in WRITTEN)
_UNLOGGED: KeptByInputs[Job] = KeptByInputs(64, each=1)


def unlogged(job: Job) -> Job:
    """A job as it is designed, priced and built, whatever was written down of its days."""
    if not any(getattr(job, name) for name in WRITTEN):
        return job
    none: dict[str, Any] = dict.fromkeys(WRITTEN, ())
    rests_on = tuple(getattr(job, name) for name in _REST)
    return _UNLOGGED.get_or_make(job.head.id, rests_on, lambda: replace(job, **none))
