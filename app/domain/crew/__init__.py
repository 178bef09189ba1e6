"""What the crew builds from: a sheet a zone, with depths, layers, amounts and cautions, and no money anywhere."""

from app.domain.crew.layers import Layer, LayerKind, Size
from app.domain.crew.lifting import HeavyPiece
from app.domain.crew.sheet import (
    CrewAmount,
    CrewReading,
    CrewSheet,
    CrewTask,
    Doing,
    GroundLine,
    Trade,
    crew_sheets,
)
from app.domain.crew.work import CrewWork

__all__ = [
    "CrewAmount",
    "CrewReading",
    "CrewSheet",
    "CrewTask",
    "CrewWork",
    "Doing",
    "GroundLine",
    "HeavyPiece",
    "Layer",
    "LayerKind",
    "Size",
    "Trade",
    "crew_sheets",
]
