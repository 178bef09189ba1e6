"""A zone's units as they are laid, lightly: the true pattern in its true place, in few bytes.

One strip of the pattern is drawn once and repeated, clipped by the field; of border courses only the joints are drawn.
"""

from collections.abc import Iterable
from math import cos, radians, sin

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from app.documents.sheet_view import INK, View, xy
from app.domain.plan.laying import Laid
from app.domain.plan.laying.laid import courses_of, field_of
from app.domain.plan.laying.modules import Floats, Lattice, lattice, module_of
from app.domain.plan.laying.pattern import Unit
from app.domain.plan.laying.starting import to_frame
from app.domain.plan.outline import Outline

LEAST = 1.5  # px: the short side of a unit that is still worth drawing (the plan can be drawn nearer)
PEN, THIN = 0.7, 0.15  # px, and share of a unit's short side: how thick joints are at most
FINE = 1000  # steps to the foot, so that coordinates are short whole numbers
SMOOTH = 0.004  # ft: what the clipping edge may leave of an arc
ARM = 1.0  # ft: half the length of the cross where laying starts
STRIPS = 400  # of a pattern in one drawing


def worth_drawing(laid: Laid, view: View) -> bool:
    """Whether units are large enough on the drawing to be told apart."""
    return laid.unit.width * view.scale >= LEAST


def laid_svg(laid: Laid, outline: Outline, border_units: tuple[Unit, ...], view: View, name: str) -> str:
    """The joints of a laid zone; `name` is the id of its clipping edge, unlike any other of the drawing."""
    fields = _fields(outline, laid, border_units)
    edge = _path(fields[-1], view)
    clip = f'<clipPath id="{name}"><path clip-rule="evenodd" d="{edge}"/></clipPath>'
    rims = "".join(_path(one, view) for one in fields[1:])
    borders = f'<path d="{_border_joints(laid, view)}{rims}" {_pen(_joint_width(laid, view))}/>' if laid.borders else ""
    return f"{clip}{_strips(laid, fields[-1], view, name)}{borders}{_start_mark(laid, fields[-1], view)}"


def _start_mark(laid: Laid, field: BaseGeometry, view: View) -> str:
    """Where laying starts, where that lies in the field: a cross along the courses and across them."""
    x, y = laid.start.point
    if not shapely.contains_xy(field, x, y):  # type: ignore[no-untyped-call]
        return ""
    along, up = cos(radians(laid.start.angle)), sin(radians(laid.start.angle))
    arms = [(along, up), (-up, along)]
    lines = [[(x - a * ARM, y - b * ARM), (x + a * ARM, y + b * ARM)] for a, b in arms]
    path = "".join(view.line(line) for line in lines)
    return f'<path d="{path}" fill="none" stroke="{INK}" stroke-width="1.6"><title>Laying starts here</title></path>'


def _pen(width: float) -> str:
    return f'fill="none" stroke="{INK}" stroke-opacity=".45" stroke-width="{width:.3g}"'


def _joint_width(laid: Laid, view: View) -> float:
    return min(PEN, THIN * laid.unit.width * view.scale)


def _fields(outline: Outline, laid: Laid, border_units: tuple[Unit, ...]) -> list[BaseGeometry]:
    """The outline, and what lies within each border course."""
    courses = courses_of(laid.laying, laid.unit, border_units)
    with np.errstate(all="ignore"):
        within = [field_of(outline, courses[:count], laid.laying) for count in range(len(courses) + 1)]
        return [one.simplify(SMOOTH) for one in within]


def _strips(laid: Laid, field: BaseGeometry, view: View, name: str) -> str:
    """The field: one strip of modules along the step, used again at every rise."""
    module = module_of(laid.laying.pattern, laid.unit)
    pattern = lattice(module, laid.unit)
    turned = laid.start.angle + module.turned
    frame = to_frame(turned)
    origin = frame([laid.start.point])[0]
    framed = shapely.transform(field, frame)
    least, most = _numbers(pattern, origin, framed.bounds)
    strip = _strip(pattern, range(int(least[0]), int(most[0]) + 1))
    rises = range(int(least[1]), int(most[1]) + 1)[:STRIPS]
    uses = "".join(_use(f"{name}-s", pattern.rise * number) for number in rises)
    pen = _pen(_joint_width(laid, view) * FINE / view.scale)
    return (
        f'<defs><path id="{name}-s" d="{strip}"/></defs><g clip-path="url(#{name})">'
        f'<g transform="{_matrix(view, turned, origin)}" {pen}>{uses}</g></g>'
    )


def _numbers(pattern: Lattice, origin: Floats, bounds: Iterable[float]) -> tuple[Floats, Floats]:
    """From which to which module the strips and their rises must run to fill the bounds."""
    west, south, east, north = bounds
    reach = float(np.abs(pattern.corners).max() + np.abs(pattern.bodies).max())
    corners = np.array([[west - reach, east + reach] * 2, [south - reach] * 2 + [north + reach] * 2])
    numbers = np.linalg.solve(np.column_stack([pattern.step, pattern.rise]), corners - origin[:, None])
    return np.floor(numbers.min(axis=1)), np.ceil(numbers.max(axis=1))


def _strip(pattern: Lattice, numbers: range) -> str:
    """Modules in a row as rectangles, in whole steps."""
    parts = []
    for number in numbers:
        for corner, body in zip(pattern.corners + pattern.step * number, pattern.bodies, strict=True):
            across, up = _whole(body[0]), _whole(body[1])
            parts.append(f"M{_whole(corner[0])} {_whole(corner[1])}h{across}v{up}h{-across}z")
    return "".join(parts)


def _use(name: str, move: Floats) -> str:
    return f'<use href="#{name}" x="{_whole(move[0])}" y="{_whole(move[1])}"/>'


def _whole(feet: float) -> int:
    return round(float(feet) * FINE)


def _matrix(view: View, turned: float, origin: Floats) -> str:
    """From the pattern's frame, in steps about its origin, to the drawing."""
    along, up = cos(radians(turned)), sin(radians(turned))
    x, y = view.at((float(origin[0] * along - origin[1] * up), float(origin[0] * up + origin[1] * along)))
    step = view.scale / FINE
    numbers = (step * along, -step * up, -step * up, -step * along, x, y)
    return f"matrix({' '.join(f'{one:.7g}' for one in numbers)})"


def _border_joints(laid: Laid, view: View) -> str:
    """Where one border unit ends and the next begins; cut units by their outline."""
    parts = []
    for part in laid.borders:
        for outer, inner in zip(part.corners[:, 0], part.corners[:, 3], strict=True):
            parts.append(f"M{xy(view.at(tuple(outer)))}L{xy(view.at(tuple(inner)))}")
        if part.outlines is not None:
            parts += [_path(piece, view) for piece in part.outlines]
    return "".join(parts)


def _path(shape: BaseGeometry, view: View) -> str:
    rings = shapely.get_rings(shapely.get_parts(shape))
    return "".join(f"{view.line(shapely.get_coordinates(ring)[:-1].tolist())}Z" for ring in rings)
