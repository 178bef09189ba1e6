"""The form of a row of a plant list: size, pattern, spacing, share of the bed, or places typed one by one."""

import re

from starlette.datastructures import FormData

from app.domain.basis import Firm
from app.domain.errors import BadValue, OutlayError
from app.domain.plan.arcs import Point
from app.domain.plant import PATTERNS
from app.domain.trades.planting.drip import AROUND
from app.domain.units import System, format_length, parse_length
from app.web.forms.book_fields import rate
from app.web.forms.fields import MOST_TEXT, Field, Group, Parsed, Texts, choice, count, length, text, thing, yes

MOST_PLACES = 200


def places(name: str) -> Group:
    """Places of plants, one a line or between slashes: `12, 8 / 15' 6", 8` gives `points` [ft]."""

    def reader(form: FormData, firm: Firm) -> Parsed:
        if name not in form:
            return Parsed()
        typed = str(form.get(name, ""))[:MOST_TEXT].strip()
        try:
            points = tuple(_place(item, firm) for item in re.split(r"[/\n]", typed) if item.strip())
        except OutlayError as wrong:
            return Parsed(errors=Texts({name: wrong.sentence}), typed=Texts({name: typed}))
        if len(points) > MOST_PLACES:
            wrong_count = f"{len(points)} places were typed; a row takes {MOST_PLACES}. Begin another row."
            return Parsed(errors=Texts({name: wrong_count}), typed=Texts({name: typed}))
        return Parsed(values={"points": points}, typed=Texts({name: typed}))

    return Group(name=name, label="Places", reader=reader)


def _place(item: str, firm: Firm) -> Point:
    parts = item.strip().split(";" if ";" in item else ",")
    if len(parts) != 2:
        raise BadValue(f"“{item.strip()[:60]}” is no place. Write feet right and up from the datum: 12, 8.")
    right, up = (parse_length(part.strip(), system=firm.system, signed=True).feet for part in parts)
    return right, up


def typed_places(points: tuple[Point, ...], system: System) -> str:
    """Places as they could be typed."""
    apart = "; " if system == "metric" else ", "
    return "\n".join(apart.join(format_length(one, system) for one in point) for point in points)


ADDED: tuple[Field | Group, ...] = (
    thing("bed", "Bed", required=True),
    text("species", "Plant", required=True, most=80),
)
LAID: tuple[Field, ...] = (choice("drip", "Drip line", ["", AROUND]),)
PLANT_PRICE: tuple[Field, ...] = (rate("unit_price", "Price each", required=True),)
PLANTING: tuple[Field | Group, ...] = (
    text("size", "Size", required=True, most=40),
    text("variety", "Named variety", most=60),
    choice("pattern", "How they stand", list(PATTERNS), required=True),
    length("spacing", "Apart"),
    count("share", "Parts of the bed", least=1, most=20, empty=1),
    yes("under", "Beneath the others, over the whole bed"),
    places("places"),
)
