"""Laying: units of a pattern inside an outline, counted piece by piece. Knows outlines and units only, never a job."""

from app.domain.plan.laying.laid import Laid, Part, lay, layings_made
from app.domain.plan.laying.pattern import BORDERS, CORNERS, PATTERNS, BorderCourse, Laying, Unit

__all__ = [
    "BORDERS",
    "CORNERS",
    "PATTERNS",
    "BorderCourse",
    "Laid",
    "Laying",
    "Part",
    "Unit",
    "lay",
    "layings_made",
]
