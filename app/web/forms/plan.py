"""Forms of the plan sheet: an outline as typed, a zone, a work."""

from collections.abc import Mapping
from dataclasses import replace

from starlette.datastructures import FormData

from app.domain import units
from app.domain.basis import Firm
from app.domain.errors import OutlayError
from app.domain.job import Measured, ZoneKind
from app.domain.plan import shapes
from app.domain.plan.outline import Outline
from app.web.forms.fields import Field, Parsed, choice, length, read, text

ZONE = (
    text("title", "What the zone is called", required=True),
    choice("kind", "What it is for", [kind.value for kind in ZoneKind], empty="other"),
    text("words", "In plain words", most=2_000),
)
MEASURED = (choice("measured", "How it was measured", [m.value for m in Measured], empty="sketch"),)
AT = (length("left", "From the left"), length("front", "From the front"), length("turn", "Turn"))

# shape → the lengths it is typed by, in the order of `Outline.sizes`
SHAPES: Mapping[str, tuple[Field, ...]] = {
    "rectangle": (length("width", "Width", required=True), length("depth", "Depth", required=True)),
    "circle": (length("radius", "Radius", required=True),),
    "l": (
        length("width", "Width", required=True),
        length("depth", "Depth", required=True),
        length("cut_width", "Width of the missing corner", required=True),
        length("cut_depth", "Depth of the missing corner", required=True),
    ),
    "points": (text("points", "Points", required=True, most=8_000),),
}


def read_outline(form: FormData, firm: Firm) -> tuple[Parsed, Outline | None]:
    """An outline as typed: its shape, its lengths, where it lies. No shape: not drawn yet."""
    shape = str(form.get("shape", ""))
    if shape not in SHAPES:
        return Parsed(), None
    parsed = read(form, (*SHAPES[shape], *MEASURED), firm, whole=True)
    place = read(form, (_signed("left", "From the left"), _signed("front", "From the front"), _turn()), firm)
    parsed = replace(
        parsed,
        errors={**parsed.errors, **place.errors},
        typed={**parsed.typed, **place.typed, "shape": shape},
        values={**parsed.values, **place.values},
    )
    if not parsed.ok:
        return parsed, None
    try:
        return parsed, _outline(shape, parsed, firm)
    except OutlayError as wrong:
        return parsed.refused(wrong), None


def _outline(shape: str, parsed: Parsed, firm: Firm) -> Outline:
    at = (parsed.values.get("left") or 0.0, parsed.values.get("front") or 0.0)
    turn = parsed.values.get("turn") or 0.0
    if shape == "points":
        return shapes.parse_points(parsed.values["points"], firm.system)
    sizes = tuple(parsed.values[field.name] for field in SHAPES[shape])
    return shapes.of_sizes(shape, sizes, at=at, turn=turn)


def _signed(name: str, label: str) -> Field:
    """A place along an axis: a length that may be negative."""

    def reader(typed: str, firm: Firm) -> float:
        sign = -1.0 if typed.startswith(("-", "−")) else 1.0
        unit = "ft" if firm.system == "feet" else "m"
        return sign * units.parse_length(typed.lstrip("-− "), unit=unit, system=firm.system).feet

    return Field(name=name, label=label, reader=reader, empty=0.0)


def _turn() -> Field:
    def reader(typed: str, _firm: Firm) -> float:
        return float(typed.rstrip("° ").replace(",", "."))

    return Field(name="turn", label="Turn in degrees", reader=reader, empty=0.0)
