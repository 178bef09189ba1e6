"""Laying: units of a pattern inside an outline, counted piece by piece. Knows outlines and units only, never a job."""

from app.domain.plan.laying.laid import Laid, Part, lay, layings_made
from app.domain.plan.laying.pattern import BORDERS, CORNERS, ENDS, PATTERNS, BorderCourse, Laying, Unit

__all__ = [
    "BORDERS",
    "CORNERS",
    "ENDS",
    "PATTERNS",
    "BorderCourse",
    "Laid",
    "Laying",
    "Part",
    "Unit",
    "lay",
    "layings_made",
]
