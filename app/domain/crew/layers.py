"""What lies on what: the layers of a surface from the bottom up, and the other sizes that the crew builds to.

Nothing is written twice: a layer is a part of the recipe whose amount is an area times one depth, or whose material
has a thickness of its own. So what is priced, ordered and built is the same depth.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from app.domain.basis import Basis, CostClass, Material
from app.domain.errors import OutlayError
from app.domain.takeoff.buying import constant
from app.domain.takeoff.kind import Special
from app.domain.takeoff.laid import WITH_PATTERN
from app.domain.takeoff.tree import Node
from app.domain.takeoff.whole import whole_up
from app.domain.takeoff.working_out import Taken, Values
from app.domain.units import AREA, LENGTH, VOLUME, WEIGHT, Dimension

LIFT = 4 / 12  # ft; Source: Interlocking Concrete Pavement Institute, tolerances; Brick Industry Association (lifts)
IN_LIFTS = "base stone"  # the role that is laid and compacted in lifts
FABRIC = "fabric"
SAID_WITH_LINE = frozenset({"longest", "needed"})  # of gas and power lines, in words
COUNTING_ONLY = (
    frozenset({"cut_every", "cut_long", "fit_cut", "wood", "seams_every"}) | SAID_WITH_LINE
)  # for the price, not for building
COUNTED = frozenset({"courses", "top_joints"})  # counts that are built to


class LayerKind(StrEnum):
    """What a layer is: ground taken out, material laid in, or a sheet too thin to measure."""

    DIG = "dig"
    LAID = "laid"
    SHEET = "sheet"


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer. `thickness` [ft, compacted] is None for a sheet; `lifts` is how many passes it is laid in."""

    kind: LayerKind
    role: str
    title: str
    thickness: float | None = None
    lifts: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """One size to build to: its label, its value [canonical unit of `dimension`]."""

    label: str
    value: float
    dimension: Dimension


def layers(taken: Sequence[Taken], basis: Basis) -> tuple[Layer, ...]:
    """The layers of one work on a zone, the dig first, then from the bottom up.

    A second material of the same depth (a binder) is mixed into the first and is no layer of its own.
    """
    found: dict[object, Layer] = {}
    for one in taken:
        layer = _layer(one, basis)
        if layer is not None:
            name = _depth_name(one)
            mixed = (id(one.values), name, layer.kind) if name else layer
            found.setdefault(mixed, layer)
    return tuple(sorted(dict.fromkeys(found.values()), key=lambda layer: layer.kind is not LayerKind.DIG))


def sizes(taken: Sequence[Taken], *, beside_layers: bool) -> tuple[Size, ...]:
    """The parameters of a work and of what it includes that are lengths, areas, volumes or weights, each once.

    `beside_layers`: the layers stand on the sheet, so their depths are left out here.
    """
    depths = {one.values.parameters[name].label for one in taken if (name := _depth_name(one))}
    layered = depths if beside_layers else set()
    every = list({id(one.values): one.values for one in taken}.values())
    found = (size for values in reversed(every) for size in _own_sizes(values) if size.label not in layered)
    return tuple(dict.fromkeys(found))


def _layer(one: Taken, basis: Basis) -> Layer | None:
    material = basis.materials.get(one.piece.key)
    if one.piece.is_task or material is None or one.piece.role in WITH_PATTERN:
        return None  # a border lies in the layer of its field
    if material.cost_class is CostClass.HAULING:
        depth = _depth(one)
        return Layer(kind=LayerKind.DIG, role=one.piece.role, title="", thickness=depth) if depth else None
    if material.cost_class is not CostClass.MATERIAL:
        return None
    thickness = _thickness(one, material)
    if thickness:
        lifts = max(1, whole_up(thickness / LIFT)) if one.piece.role == IN_LIFTS else 1
        return Layer(kind=LayerKind.LAID, role=one.piece.role, title=material.title, thickness=thickness, lifts=lifts)
    covers = one.piece.dimension == AREA and (FABRIC in one.piece.role or material.finish)
    return Layer(kind=LayerKind.SHEET, role=one.piece.role, title=material.title) if covers else None


def _thickness(one: Taken, material: Material) -> float | None:
    """By the one depth its volume is an area times, else what is chosen by its own thickness."""
    depth = _depth(one)
    if depth is None and material.finish and material.thickness:
        return constant(material.thickness)[0]
    return depth


def _depth(one: Taken) -> float | None:
    name = _depth_name(one)
    return _value(one.values, name) if name else None


def _depth_name(one: Taken) -> str:
    """The only length among the parameters that the volume of a material is worked out from; empty where none is."""
    if one.piece.dimension != VOLUME or one.piece.is_task:
        return ""
    parameters = one.values.parameters
    named = [name for name in _factors(one.piece.amount.tree) if name in parameters]
    lengths = [name for name in dict.fromkeys(named) if parameters[name].kind == LENGTH]
    return lengths[0] if len(lengths) == 1 else ""


def _factors(node: Node) -> Iterator[str]:
    """Names in a formula, but for those that say where something is measured, as in `grown(overdig)`."""
    if node.op == "measure":
        yield node.name
    elif node.op != "applied":
        for inner in node.args:
            yield from _factors(inner)


def _own_sizes(values: Values) -> Iterator[Size]:
    for name, parameter in values.parameters.items():
        kind = parameter.kind
        told = kind in (LENGTH, AREA, VOLUME, WEIGHT) or name in COUNTED
        if name in COUNTING_ONLY or isinstance(kind, Special) or not told:
            continue
        value = _value(values, name)
        if value:
            yield Size(label=parameter.label, value=round(value, 9), dimension=kind)


def _value(values: Values, name: str) -> float | None:
    found = known(lambda: values[name])
    return None if found is None else float(found)


def known(read: Callable[[], float | None]) -> float | None:
    """A measure or parameter; None where it is not known."""
    try:
        return read()
    except OutlayError:
        return None
