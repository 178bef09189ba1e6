"""What the crew builds from: a sheet a zone, with depths, layers, amounts and cautions, and no money anywhere."""

from app.domain.crew.layers import Layer, LayerKind, Size
from app.domain.crew.sheet import (
    CrewAmount,
    CrewSheet,
    CrewTask,
    CrewWork,
    GroundLine,
    Trade,
    crew_sheets,
)

__all__ = [
    "CrewAmount",
    "CrewSheet",
    "CrewTask",
    "CrewWork",
    "GroundLine",
    "Layer",
    "LayerKind",
    "Size",
    "Trade",
    "crew_sheets",
]
