"""Checks: what should be known before a job is signed and built. Rules are data; functions read them."""

from app.domain.checks.cautions import cautions, cautions_by_zone, cautions_of_works, every_caution
from app.domain.checks.engine import check, open_points
from app.domain.checks.readiness import Readiness, Settled, may_settle, ready_to_sign

__all__ = [
    "Readiness",
    "Settled",
    "cautions",
    "cautions_by_zone",
    "cautions_of_works",
    "check",
    "every_caution",
    "may_settle",
    "open_points",
    "ready_to_sign",
]
