"""Decided edges that end the surfaces beside them: what such an edge builds, the surface's recipe leaves out there."""

from collections.abc import Collection
from dataclasses import dataclass
from uuid import UUID

from app.domain.job import Edge
from app.domain.plan.edges import GROUND
from app.domain.takeoff.compiled import CompiledAssembly
from app.domain.takeoff.meeting import Meeting
from app.domain.takeoff.working_out import Recorded, parameter_values

WIDE = "width"  # the parameter of a recipe that is built over a part of its edge only, such as steps


@dataclass(frozen=True, slots=True)
class Held:
    """An edge that ends the surfaces beside it, by the title of its recipe; `base`: it brings its own base too.

    `part` is its recipe where that is as wide as it is set to be, and no wider than its edge.
    """

    edge_id: UUID
    title: str
    base: bool = False
    part: CompiledAssembly | None = None

    def length(self, edge_length: float) -> float:
        """How much of an edge [ft] it holds: all, or as much as it is wide."""
        if self.part is None:
            return edge_length
        wide = parameter_values(self.part, Recorded({"length": edge_length})).get(WIDE)
        return edge_length if wide is None else min(wide, edge_length)


class Holding:
    """The held edges of a job, looked up by edge."""

    def __init__(self, held: Collection[Held]) -> None:
        self._by_edge = {one.edge_id: one for one in sorted(held, key=lambda one: (one.base, one.title))}

    def __bool__(self) -> bool:
        return bool(self._by_edge)

    def of(self, edge: Edge | None) -> Held | None:
        """What ends the surfaces at an edge; None where that is left to their own recipes."""
        return self._by_edge.get(edge.id) if edge is not None else None

    def ends(self, edge: Edge | None) -> Held | None:
        """What ends the surfaces all along an edge; None where the surfaces still end some of it themselves."""
        held = self.of(edge)
        return held if held and held.part is None else None

    def in_part(self, edge: Edge | None) -> Held | None:
        """What ends the surface along a part of its edge to open ground, such as steps that lead down to it."""
        held = self.of(edge)
        return held if held and held.part and edge and edge.neighbor == GROUND else None

    def based(self, met: Meeting) -> bool:
        """Whether the base along a stretch is the edge's own, so that the surface's ends with its outline."""
        held = self.of(met.edge)
        return held is not None and held.base
