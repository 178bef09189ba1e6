"""Fields of color: hex, Lab or a Munsell chip; blends with their shares; a material's color and how it was told."""

from collections.abc import Mapping
from typing import Any

from starlette.datastructures import FormData

from app.domain.basis import Firm, Material
from app.domain.errors import BadValue
from app.domain.palette.color import is_color, lab_of
from app.domain.palette.typed_color import blend_words, typed_blend, typed_color
from app.interchange.soil_chips import soil_chips
from app.web.forms.fields import Field, Group, Parsed, read


def color(name: str, label: str) -> Field:
    """A color, kept as hex."""
    return Field(name=name, label=label, empty="", reader=lambda typed, _firm: typed_color(typed, soil_chips()))


def blend(name: str, label: str) -> Field:
    """Several colors with their shares."""
    return Field(name=name, label=label, empty={}, reader=lambda typed, _firm: typed_blend(typed, soil_chips()))


def material_color() -> Group:
    """A material's color with the words it was told in; one that is sent as it stood changes nothing."""
    one = color("color", "Color")

    def reader(form: FormData, firm: Firm) -> Parsed:
        parsed = read(form, (one,), firm)
        typed = str(form.get("color", "")).strip()
        if not parsed.ok or typed == str(form.get("color_was", "\0")):
            return Parsed(errors=parsed.errors, typed=parsed.typed)
        told = "" if typed.lstrip("#").lower() == parsed.values["color"].lstrip("#") else typed[:40]
        values = {"color": parsed.values["color"], "color_as": told, "color_within": 0.0}
        return Parsed(values=values, errors=parsed.errors, typed=parsed.typed)

    return Group(name="color", label="Color", reader=reader)


def color_texts(material: Material) -> Mapping[str, Any]:
    """A material's color and blend as they are typed, and what its color is in words."""
    return {
        "color_text": _as_typed(material),
        "blend_text": blend_words(material.blend),
        "color_words": color_words(material) if is_color(material.color) else "",
    }


def _as_typed(material: Material) -> str:
    try:
        typed_color(material.color_as, soil_chips())
    except BadValue:
        return material.color
    return material.color_as


def color_words(material: Material) -> str:
    """`#b07a52, Lab 56 17 30` with how it was told and how far it may be off."""
    lightness, a, b = lab_of(material.color)
    words = [material.color, f"Lab {lightness:.0f} {a:.0f} {b:.0f}", material.color_as]
    if material.color_within:
        words.append(f"may be off by ΔE {material.color_within:.0f}")
    return ", ".join(word for word in words if word)
