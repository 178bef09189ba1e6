"""Patterns as data: the module that repeats, in multiples of the unit's length, its width and its square.

Every pattern here is one table: a few rectangles, and the two steps by which they repeat. All measures include the
joint, so that units with joints around them tile the plane without a gap. Source: geometry.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.domain.errors import BadValue
from app.domain.plan.laying.pattern import Unit

Floats = NDArray[np.float64]
Length = tuple[float, float, float]  # multiples of length, width, square side; each with its joint

WIDEST_GAP = 1 / 2 / 12  # ft: what the joints of a basket weave may take up beyond their own width; assumption
A: Length = (1, 0, 0)
B: Length = (0, 1, 0)
NONE: Length = (0, 0, 0)


@dataclass(frozen=True, slots=True)
class Cell:
    """One unit of a module: lower left corner, extent along and across, and which of the pattern's sizes it is."""

    x: Length
    y: Length
    along: Length
    across: Length
    size: int = 0


@dataclass(frozen=True, slots=True)
class Module:
    """What repeats: its cells and the two steps that carry it over the plane.

    `turned` [degrees] is how the pattern lies to the line it follows; `bond` whether its courses are straight lines.
    """

    cells: tuple[Cell, ...]
    step: tuple[Length, Length]
    rise: tuple[Length, Length]
    turned: float = 0.0
    bond: bool = True


def _courses(shift: Length) -> Module:
    return Module((Cell(NONE, NONE, A, B),), (A, NONE), (shift, B))


# a horizontal unit, and an upright one at its end that reaches one width above it
_HERRINGBONE = (Cell(NONE, NONE, A, B), Cell(A, (-1, 1, 0), B, A))
_HERRING_STEPS = ((B, B), (A, (-1, 0, 0)))

MODULES: Mapping[str, Module] = {
    "stack": _courses(NONE),
    "running-half": _courses((1 / 2, 0, 0)),
    "running-third": _courses((1 / 3, 0, 0)),
    "herringbone-45": Module(_HERRINGBONE, *_HERRING_STEPS, turned=45.0, bond=False),
    "herringbone-90": Module(_HERRINGBONE, *_HERRING_STEPS, bond=False),
    # full units and squares of the same width, each course half a width on
    "two-size": Module((Cell(NONE, NONE, A, B), Cell(A, NONE, B, B, 1)), ((1, 1, 0), NONE), ((1 / 2, 1 / 2, 0), B)),
    # full units, squares, and units two widths long
    "three-size": Module(
        (Cell(NONE, NONE, A, B), Cell(A, NONE, B, B, 1), Cell((1, 1, 0), NONE, (0, 2, 0), B, 2)),
        ((1, 3, 0), NONE),
        ((0, 1 / 2, 0), B),
    ),
    # squares of the unit's length, each with a square of half its side at the corner
    "pinwheel": Module(
        (Cell(NONE, NONE, A, A), Cell(A, NONE, (1 / 2, 0, 0), (1 / 2, 0, 0), 1)),
        (A, (1 / 2, 0, 0)),
        ((-1 / 2, 0, 0), A),
        bond=False,
    ),
}


def module_of(pattern: str, unit: Unit) -> Module:
    """The module of a pattern for a unit; a basket weave has as many units to its square as fit beside each other.

    Raises: BadValue for a basket weave of units whose length is not about a whole number of widths, and for squares
    of units that are none.

    >>> len(module_of("basket", Unit(length=0.75, width=0.25)).cells)
    12
    """
    if pattern == "pinwheel" and unit.length - unit.width > WIDEST_GAP:
        raise BadValue(
            f"Large squares with small ones need a square unit; this one is {unit.length * 12:g} by "
            f"{unit.width * 12:g} in. Choose another pattern or unit.",
            field="pattern",
        )
    if pattern != "basket":
        return MODULES[pattern]
    long, short = unit.length + unit.joint, unit.width + unit.joint
    count = max(1, round(long / short))
    if abs(long - count * short) > WIDEST_GAP:
        raise BadValue(
            f"A basket weave needs units two or three widths long; {unit.length * 12:g} by {unit.width * 12:g} in "
            f"would leave gaps of {abs(long - count * short) * 12:.2g} in. Choose another pattern or unit.",
            field="pattern",
        )
    share: Length = (0, 0, 1 / count)
    whole: Length = (0, 0, 1)
    cells = []
    for east, north in ((0, 0), (1, 0), (0, 1), (1, 1)):
        for place in range(count):
            aside = place / count
            if (east + north) % 2:
                cells.append(Cell((0, 0, east + aside), (0, 0, north), share, whole))
            else:
                cells.append(Cell((0, 0, east), (0, 0, north + aside), whole, share))
    return Module(tuple(cells), ((0, 0, 2), NONE), (NONE, (0, 0, 2)), bond=False)


@dataclass(frozen=True, slots=True)
class Lattice:
    """A module in feet: lower left corners and bodies of its units, with `step` and `rise`.

    `corners` and `bodies` are arrays of x, y pairs: where each unit begins within the module, joint left out, and how
    far it extends; `sizes` names the size of each.
    """

    corners: Floats
    bodies: Floats
    sizes: NDArray[np.int64]
    step: Floats
    rise: Floats

    @property
    def area(self) -> float:
        """Area of one module, joints included [sq ft]."""
        return float(abs(self.step[0] * self.rise[1] - self.step[1] * self.rise[0]))


def lattice(module: Module, unit: Unit) -> Lattice:
    """A module in feet for a unit with its joint."""
    long, short, joint = unit.length + unit.joint, unit.width + unit.joint, unit.joint
    square = max(long, short * max(1, round(long / short)))
    sides = np.array([long, short, square])

    def feet(lengths: list[tuple[Length, Length]]) -> Floats:
        found: Floats = np.asarray(np.array(lengths, dtype=np.float64) @ sides, dtype=np.float64)
        return found

    cells = module.cells
    corners = feet([(cell.x, cell.y) for cell in cells]) + joint / 2
    extents = feet([(cell.along, cell.across) for cell in cells])
    # in a basket weave the joint is what the square leaves, the unit keeps its size
    bodies = _bodies(cells, extents, unit)
    corners += (extents - joint - bodies) / 2
    step, rise = feet([module.step, module.rise])
    return Lattice(corners, bodies, np.array([cell.size for cell in cells]), step, rise)


def _bodies(cells: tuple[Cell, ...], extents: Floats, unit: Unit) -> Floats:
    bodies = extents - unit.joint
    for place, cell in enumerate(cells):
        if cell.along[2] or cell.across[2]:
            sides = (unit.length, unit.width) if cell.along[2] >= cell.across[2] else (unit.width, unit.length)
            bodies[place] = np.minimum(bodies[place], sides)
    return bodies


def sizes_of(module: Module, unit: Unit) -> tuple[tuple[float, float], ...]:
    """The sizes of a pattern's units, longer side first [ft], without the joint.

    >>> sizes_of(MODULES["two-size"], Unit(length=0.75, width=0.5))
    ((0.75, 0.5), (0.5, 0.5))
    """
    found = lattice(module, unit)
    sizes: dict[int, tuple[float, float]] = {}
    for size, (along, across) in zip(found.sizes.tolist(), found.bodies.tolist(), strict=True):
        sizes.setdefault(size, (max(along, across), min(along, across)))
    return tuple(sizes[size] for size in sorted(sizes))
