"""Fields of the forms that reshape things on the plan: the line of a cut, angles, mirrors."""

from math import isfinite

from app.domain.basis import Firm
from app.domain.errors import BadValue
from app.domain.plan.lines import parse_line
from app.domain.plan.walks import Walk, walk_of_line
from app.web.forms.fields import Field

MIRRORS = ("upright", "level")  # the mirror line through the point about which it is mirrored
MOST_TURN = 3600.0


def line(name: str, label: str, *, required: bool = False) -> Field:
    """A line typed by its points, as a walk; the drawing surface sends the same text."""

    def reader(typed: str, firm: Firm) -> Walk:
        return walk_of_line(*parse_line(typed, system=firm.system))

    return Field(name=name, label=label, reader=reader, required=required)


def angle(name: str, label: str) -> Field:
    """An angle in degrees, its sign kept."""

    def reader(typed: str, _firm: Firm) -> float:
        turn = float(typed.rstrip("° ").replace(",", "."))
        if not isfinite(turn) or abs(turn) > MOST_TURN:
            raise BadValue(f"{label}: “{typed[:20]}” is no angle. Type degrees, such as 30.")
        return turn

    return Field(name=name, label=label, reader=reader, empty=0.0)
