"""Decided edges that end the surfaces beside them: what such an edge builds, the surface's recipe leaves out there."""

from collections.abc import Collection
from dataclasses import dataclass
from uuid import UUID

from app.domain.job import Edge
from app.domain.takeoff.meeting import Meeting


@dataclass(frozen=True, slots=True)
class Held:
    """An edge that ends the surfaces beside it, by the title of its recipe; `base`: it brings its own base too."""

    edge_id: UUID
    title: str
    base: bool = False


class Holding:
    """The held edges of a job, looked up by edge."""

    def __init__(self, held: Collection[Held]) -> None:
        self._by_edge = {one.edge_id: one for one in sorted(held, key=lambda one: (one.base, one.title))}

    def __bool__(self) -> bool:
        return bool(self._by_edge)

    def of(self, edge: Edge | None) -> Held | None:
        """What ends the surfaces at an edge; None where that is left to their own recipes."""
        return self._by_edge.get(edge.id) if edge is not None else None

    def based(self, met: Meeting) -> bool:
        """Whether the base along a stretch is the edge's own, so that the surface's ends with its outline."""
        held = self.of(met.edge)
        return held is not None and held.base
