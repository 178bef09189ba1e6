"""What a compiled assembly consists of: checked formulas, ready to be worked out."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from app.domain.findings import Finding
from app.domain.takeoff.formula import Formula
from app.domain.takeoff.kind import Kind
from app.domain.units import Dimension


@dataclass(frozen=True, slots=True)
class CompiledParameter:
    """A parameter's formula, its bounds and the words about it."""

    name: str
    label: str
    formula: Formula
    kind: Kind
    least: Formula | None = None
    most: Formula | None = None
    source: str = ""


@dataclass(frozen=True, slots=True)
class CompiledPiece:
    """A part (of a material) or a task of an assembly, with its checked amount."""

    is_task: bool
    key: str  # of the material or task; empty where nothing fills the role yet
    role: str
    label: str
    amount: Formula
    dimension: Dimension
    when: Formula | None = None
    loss: float = 0.0
    keep: float = 0.0
    source: str = ""


@dataclass(frozen=True, slots=True)
class CompiledInclude:
    """An assembly within an assembly: its parameters that are passed, worked out outside of it."""

    assembly: "CompiledAssembly"
    passes: tuple[tuple[str, Formula], ...]
    when: Formula | None = None


@dataclass(frozen=True, slots=True)
class CompiledAssembly:
    """An assembly ready to be worked out. Parameters stand in the order they need one another.

    `constants` are what is known once roles are filled: `thickness_of('finish')` and the like; and what trades give.
    """

    key: str
    title: str
    measures: str
    parameters: tuple[CompiledParameter, ...]
    includes: tuple[CompiledInclude, ...]
    pieces: tuple[CompiledPiece, ...]
    constants: Mapping[str, Any]
    findings: tuple[Finding, ...] = ()
    height: Formula | None = None  # how high it stands, as its drawing says

    def all_pieces(self) -> Iterator[CompiledPiece]:
        """Its own pieces and those of what it includes."""
        for include in self.includes:
            yield from include.assembly.all_pieces()
        yield from self.pieces


@dataclass(frozen=True, slots=True)
class Chosen:
    """What a job sets differently: formulas by parameter name, material keys by role."""

    parameters: Mapping[str, str] = field(default_factory=dict)
    finishes: Mapping[str, str] = field(default_factory=dict)
