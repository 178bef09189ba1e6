"""Pictures below the plan: where they lie, on our own screen only; they are never printed and never leave the firm."""

from math import cos, radians, sin

from app.documents.plan_parts import Sheet, around
from app.documents.sheet_view import Box, layer
from app.domain.job import Job, Underlay
from app.domain.plan.arcs import Point


def underlays(sheet: Sheet, address: str) -> str:
    """Every picture that is shown, in its place; `address` is what its id is added to. Nothing without an address."""
    if not address:
        return ""
    view = sheet.view
    lies = f"matrix({view.scale!r} 0 0 {-view.scale!r} {-view.west * view.scale!r} {view.north * view.scale!r})"
    drawn = "".join(_image(one, address) for one in sheet.job.underlays if one.shown)
    return layer("underlay", f'<g transform="{lies}">{drawn}</g>' if drawn else "")


def _image(one: Underlay, address: str) -> str:
    """A picture: its pixels [right, down] to feet [east, north]."""
    c, s = one.scale * cos(radians(one.turn)), one.scale * sin(radians(one.turn))
    corner = one.x + one.height * s, one.y + one.height * c  # its upper left one
    matrix = f"matrix({c!r} {-s!r} {-s!r} {-c!r} {corner[0]!r} {corner[1]!r})"
    return (
        f'<image href="{address}{one.id}" width="{one.width}" height="{one.height}" opacity="{one.opacity:g}" '
        f'preserveAspectRatio="none" transform="{matrix}"/>'
    )


def corners(one: Underlay) -> tuple[Point, ...]:
    """The corners of a picture on the plan [ft], from the lower left one counterclockwise."""
    wide, high = one.width * one.scale, one.height * one.scale
    c, s = cos(radians(one.turn)), sin(radians(one.turn))
    return tuple(
        (one.x + x * c + y * s, one.y - x * s + y * c) for x, y in ((0, 0), (wide, 0), (wide, high), (0, high))
    )


def underlay_box(job: Job) -> Box | None:
    """The box around the pictures that are shown [ft]: what is seen while nothing else is drawn."""
    points = [point for one in job.underlays if one.shown for point in corners(one)]
    return around([(x, y, x, y) for x, y in points]) if points else None
