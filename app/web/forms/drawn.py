"""What the canvas sends: outlines as curve WKT, lines as points, places as feet. None of it is trusted as it comes."""

from collections.abc import Callable
from math import isfinite
from typing import Any

from starlette.datastructures import FormData

from app.domain.basis import Firm
from app.domain.errors import BadValue, OutlayError
from app.domain.plan.open_lines import pieces_of
from app.domain.plan.outline import Outline, outline_of_rings
from app.domain.plan.wkt import read_rings
from app.web.forms.fields import Field, Group, Parsed, Texts

FURTHEST = 20_000.0  # ft from the datum, as for outlines
MOST_POINTS = 200
Point = tuple[float, float]


def drawn_outline(name: str) -> Group:
    """An outline drawn by hand, `NAME.wkt`, read, checked and written anew; the sentence goes to `drawn`."""
    return _group(name, "wkt", read_outline)


def drawn_line(name: str) -> Group:
    """A line drawn by hand, `NAME.xy`: its points, `x y` in feet with commas between; its rises in `NAME.rises`."""

    def read_it(form: FormData, _firm: Firm) -> Parsed:
        texts = {f"{name}.{part}": str(form.get(f"{name}.{part}", "")) for part in ("xy", "rises")}
        try:
            points = read_points(texts[f"{name}.xy"])
            rises = read_rises(texts[f"{name}.rises"], len(points) - 1)
            pieces_of(points, rises)
        except OutlayError as wrong:
            return Parsed(errors=Texts({"drawn": wrong.sentence}), typed=Texts(texts))
        return Parsed(values={name: points, "rises": rises}, typed=Texts(texts))

    return Group(name=name, label="", reader=read_it)


def feet(name: str, label: str) -> Field:
    """A coordinate or a way in feet, at full precision."""
    return Field(name=name, label=label, reader=lambda typed, _firm: coordinate(typed))


def direction(name: str, label: str, *, empty: float | None = 0.0) -> Field:
    """A direction on the plan in degrees, 0 to the right and 90 up; what it is when left empty."""
    return Field(name=name, label=label, reader=lambda typed, _firm: bearing(typed), empty=empty)


def read_outline(text: str) -> Outline:
    """The outline of curve WKT. Raises: every refusal of an outline."""
    return outline_of_rings(read_rings(text))


def read_points(text: str) -> tuple[Point, ...]:
    """The points of a line. Raises: BadValue."""
    pairs = [pair.split() for pair in text.split(",") if pair.strip()]
    if not 2 <= len(pairs) <= MOST_POINTS or any(len(pair) != 2 for pair in pairs):
        raise BadValue(f"A line has 2 to {MOST_POINTS} points. Draw it again.", field="drawn")
    return tuple((coordinate(x), coordinate(y)) for x, y in pairs)


def read_rises(text: str, stretches: int) -> tuple[float, ...]:
    """How far each stretch of a line is bent; none where all are straight. Raises: BadValue."""
    rises = tuple(coordinate(one) for one in text.split())
    if len(rises) > stretches:
        raise BadValue("There are more bends than stretches. Draw it again.", field="drawn")
    return rises if any(rises) else ()


def bearing(text: str) -> float:
    """A direction in degrees, 0 right and 90 up, or as up, right, down, left. Raises: BadValue."""
    plain = text.strip().lower().rstrip("°").strip().replace(",", ".")
    if plain in WAYS:
        return WAYS[plain]
    try:
        value = float(plain)
    except ValueError:
        value = float("nan")
    if not isfinite(value):
        raise BadValue(
            f"“{text[:30]}” is no direction. Type degrees, 0 to the right and 90 up, or up, right, down, left."
        )
    return value % 360


WAYS = {"right": 0.0, "up": 90.0, "left": 180.0, "down": 270.0}


def coordinate(text: str) -> float:
    """A number of feet from the datum. Raises: BadValue."""
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not isfinite(value) or abs(value) > FURTHEST:
        raise BadValue(f"“{text[:30]}” is no place on the plan. Draw it again.", field="drawn")
    return value + 0.0


def _group(name: str, part: str, reader: Callable[[str], Any]) -> Group:
    key = f"{name}.{part}"

    def read_it(form: FormData, _firm: Firm) -> Parsed:
        text = str(form.get(key, ""))
        typed = Texts({key: text})
        try:
            return Parsed(values={name: reader(text)}, typed=typed)
        except OutlayError as wrong:
            return Parsed(errors=Texts({"drawn": wrong.sentence}), typed=typed)

    return Group(name=name, label="", reader=read_it)
