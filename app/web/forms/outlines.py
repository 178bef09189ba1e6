"""An outline as typed: its shape, its lengths, where it lies and how it is turned; all under one prefix in the form."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from math import isfinite

from starlette.datastructures import FormData

from app.domain import units
from app.domain.basis import Firm
from app.domain.errors import BadValue, OutlayError
from app.domain.plan import shapes
from app.domain.plan.outline import Outline
from app.domain.plan.shapes import NO_MARKS, Marks
from app.domain.units.dimension import FOOT_IN_METERS
from app.web.forms.composed import drawn_line
from app.web.forms.fields import Field, Group, Parsed, Texts, length, read, text

EXACT = 1e-9  # ft
OUTLINES = frozenset({"outline", "house", "lot"})  # names of fields that are outlines
PLACES = frozenset({"level_at", "way_in", "moves_to"})
LINES = frozenset({"points"})

# shape → the lengths it is typed by, in the order of `Outline.sizes`
SHAPES: Mapping[str, tuple[tuple[str, str], ...]] = {
    "rectangle": (("width", "Width"), ("depth", "Depth")),
    "circle": (("radius", "Radius"),),
    "L": (
        ("width", "Width"),
        ("depth", "Depth"),
        ("cut_width", "Width of the missing corner"),
        ("cut_depth", "Depth of the missing corner"),
    ),
    "points": (),
}


def outline(name: str, label: str, marks: Marks = NO_MARKS) -> Group:
    """The group of inputs `NAME.shape`, `NAME.width`, …, `NAME.left`, `NAME.front`, `NAME.turn`, `NAME.points`.

    Points may name `marks`.
    """
    return Group(name=name, label=label, reader=lambda form, firm: read_outline(form, firm, name, marks))


def read_outline(form: FormData, firm: Firm, name: str, marks: Marks = NO_MARKS) -> Parsed:
    """The outline under a prefix; shape `none` takes it away.

    The values hold the outline under `name`.
    """
    shape = str(form.get(f"{name}.shape", ""))
    if shape in {"", "none"}:
        return Parsed(values={name: None}, typed=Texts({f"{name}.shape": shape}))
    if shape not in SHAPES:
        return Parsed(errors=Texts({f"{name}.shape": "Choose a shape of the list."}))
    parsed = read(form, _fields(name, shape), firm, whole=True)
    parsed = replace(parsed, typed=Texts({**parsed.typed, f"{name}.shape": shape}))
    if not parsed.ok:
        return parsed
    try:
        made = _made(name, shape, parsed, firm, marks)
    except OutlayError as wrong:
        first = f"{name}.points" if shape == "points" else f"{name}.{SHAPES[shape][0][0]}"
        return replace(parsed, errors=Texts({wrong.field or first: wrong.sentence}))
    return replace(parsed, values={name: made})


def _fields(name: str, shape: str) -> tuple[Field, ...]:
    if shape == "points":
        return (text(f"{name}.points", "Points", required=True, most=8_000),)
    sizes = [length(f"{name}.{part}", label, required=True) for part, label in SHAPES[shape]]
    place = [
        length(f"{name}.left", "To the right", signed=True, empty=0.0),
        length(f"{name}.front", "Up the sheet", signed=True, empty=0.0),
    ]
    return (*sizes, *place, degrees(f"{name}.turn", "Turn"))


def _made(name: str, shape: str, parsed: Parsed, firm: Firm, marks: Marks) -> Outline:
    values = parsed.values
    if shape == "points":
        return shapes.parse_points(values[f"{name}.points"], system=firm.system, marks=marks)
    sizes = tuple(values[f"{name}.{part}"] for part, _ in SHAPES[shape])
    at = (values[f"{name}.left"], values[f"{name}.front"])
    return shapes.outline_of_sizes(shape, sizes, at=at, turn=values[f"{name}.turn"])


def texts(outline: Outline | None, name: str, firm: Firm, marks: Marks = NO_MARKS) -> Mapping[str, str]:
    """The inputs of the group as they would be typed for an outline, so that saving them again changes nothing."""
    if outline is None:
        return {}
    if outline.shape not in SHAPES or outline.shape == "points":
        return {
            f"{name}.shape": "points",
            f"{name}.points": shapes.typed_points(outline, system=firm.system, marks=marks),
        }
    (left, front), turn = shapes.placing(outline)
    sizes = dict(zip((part for part, _ in SHAPES[outline.shape]), outline.sizes, strict=True))
    lengths = {**sizes, "left": left, "front": front}
    return {
        f"{name}.shape": outline.shape,
        **{f"{name}.{part}": length_text(feet, firm.system) for part, feet in lengths.items()},
        f"{name}.turn": f"{turn:.6g}" if turn else "",
    }


def length_text(feet: float, system: units.System) -> str:
    """A length as it is typed: in the usual form where that is exact, else in decimals."""
    usual = units.format_length(feet, system)
    if abs(units.parse_length(usual, system=system, signed=True).feet - feet) < EXACT:
        return usual
    size, unit = (1.0, "ft") if system == "feet" else (FOOT_IN_METERS, "m")
    return f"{feet * size:.9f}".rstrip("0").rstrip(".") + f" {unit}"


def with_marks(fields: Iterable[Field | Group], marks: Marks) -> tuple[Field | Group, ...]:
    """Fields of a form whose outlines, lines and places may be typed by the names of marks."""
    return tuple(
        outline(one.name, one.label, marks)
        if isinstance(one, Group) and one.name in OUTLINES
        else drawn_line(one.name, marks)
        if isinstance(one, Group) and one.name in LINES
        else place(one.name, one.label, marks)
        if one.name in PLACES
        else one
        for one in fields
    )


def place(name: str, label: str, marks: Marks = NO_MARKS, *, required: bool = False) -> Field:
    """A point: two lengths from the datum, or the name of a mark."""
    return Field(
        name=name,
        label=label,
        required=required,
        reader=lambda typed, firm: shapes.parse_place(typed, system=firm.system, marks=marks),
    )


def bearing(name: str, label: str) -> Field:
    """A direction in degrees clockwise from the top of the plan; empty: not known."""
    return replace(degrees(name, label), empty=None)


def degrees(name: str, label: str, *, empty: float | None = 0.0) -> Field:
    """An angle in degrees."""

    def reader(typed: str, _firm: Firm) -> float:
        turn = float(typed.rstrip("° ").replace(",", "."))
        if not isfinite(turn):
            raise BadValue(f"{label}: “{typed}” is no angle. Type degrees, such as 30.")
        return turn % 360

    return Field(name=name, label=label, reader=reader, empty=empty)
