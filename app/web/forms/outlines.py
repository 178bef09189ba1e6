"""An outline as typed: its shape, its lengths, where it lies and how it is turned; all under one prefix in the form."""

from collections.abc import Mapping
from dataclasses import replace

from starlette.datastructures import FormData

from app.domain.basis import Firm
from app.domain.errors import OutlayError
from app.domain.plan import shapes
from app.domain.plan.outline import Outline
from app.web.forms.fields import Field, Group, Parsed, length, read, text

# shape → the lengths it is typed by, in the order of `Outline.sizes`
SHAPES: Mapping[str, tuple[tuple[str, str], ...]] = {
    "rectangle": (("width", "Width"), ("depth", "Depth")),
    "circle": (("radius", "Radius"),),
    "l": (
        ("width", "Width"),
        ("depth", "Depth"),
        ("cut_width", "Width of the missing corner"),
        ("cut_depth", "Depth of the missing corner"),
    ),
    "points": (),
}


def outline(name: str, label: str) -> Group:
    """The group of inputs `NAME.shape`, `NAME.width`, …, `NAME.left`, `NAME.front`, `NAME.turn`, `NAME.points`."""
    return Group(name=name, label=label, reader=lambda form, firm: read_outline(form, firm, name))


def read_outline(form: FormData, firm: Firm, name: str) -> Parsed:
    """The outline under a prefix; shape `none` takes it away.

    The values hold the outline under `name`.
    """
    shape = str(form.get(f"{name}.shape", ""))
    if shape in {"", "none"}:
        return Parsed(values={name: None}, typed={f"{name}.shape": shape})
    if shape not in SHAPES:
        return Parsed(errors={f"{name}.shape": "Choose a shape of the list."})
    parsed = read(form, _fields(name, shape), firm, whole=True)
    parsed = replace(parsed, typed={**parsed.typed, f"{name}.shape": shape})
    if not parsed.ok:
        return parsed
    try:
        made = _made(name, shape, parsed, firm)
    except OutlayError as wrong:
        first = f"{name}.points" if shape == "points" else f"{name}.{SHAPES[shape][0][0]}"
        return replace(parsed, errors={wrong.field or first: wrong.sentence})
    return replace(parsed, values={name: made})


def _fields(name: str, shape: str) -> tuple[Field, ...]:
    if shape == "points":
        return (text(f"{name}.points", "Points", required=True, most=8_000),)
    sizes = [length(f"{name}.{part}", label, required=True) for part, label in SHAPES[shape]]
    place = [
        length(f"{name}.left", "To the right of the datum", signed=True, empty=0.0),
        length(f"{name}.front", "In front of the datum", signed=True, empty=0.0),
    ]
    return (*sizes, *place, degrees(f"{name}.turn", "Turn"))


def _made(name: str, shape: str, parsed: Parsed, firm: Firm) -> Outline:
    values = parsed.values
    if shape == "points":
        return shapes.parse_points(values[f"{name}.points"], system=firm.system)
    sizes = tuple(values[f"{name}.{part}"] for part, _ in SHAPES[shape])
    at = (values[f"{name}.left"], values[f"{name}.front"])
    return shapes.outline_of_sizes(shape, sizes, at=at, turn=values[f"{name}.turn"])


def degrees(name: str, label: str) -> Field:
    """An angle in degrees."""

    def reader(typed: str, _firm: Firm) -> float:
        return float(typed.rstrip("° ").replace(",", ".")) % 360

    return Field(name=name, label=label, reader=reader, empty=0.0)
