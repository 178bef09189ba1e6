"""The form of a light or a transformer of the plan: what feeds it, what it takes, what its cables follow."""

import re

from app.domain.basis import Firm
from app.domain.errors import BadValue
from app.domain.takeoff.light_circuits import FILAMENT
from app.web.forms.fields import Field, choice, thing, things

LEAST_WATTS, MOST_WATTS = 0.1, 500.0  # what a 12 V lamp may take. Assumption, wide enough for any


def watts(name: str, label: str) -> Field:
    """Watts with decimals: 4, 6.5 or 6.5 W."""

    def reader(typed: str, _firm: Firm) -> float:
        found = re.fullmatch(r"(\d{1,4}(?:[.,]\d{1,3})?)\s*(?:w|watts?)?", typed.strip().casefold())
        if not found:
            raise BadValue(f"{label}: “{typed[:40]}” was typed. Write watts, as the lamp's sheet says: 4 or 6.5.")
        value = float(found[1].replace(",", "."))
        if not LEAST_WATTS <= value <= MOST_WATTS:
            raise BadValue(
                f"{label}: {value:g} W was understood; a 12 V lamp takes {LEAST_WATTS:g} to {MOST_WATTS:g} W."
            )
        return value

    return Field(name=name, label=label, reader=reader, empty=None)


FED: tuple[Field, ...] = (
    thing("fed_from", "Fed from"),
    watts("watts", "Each takes"),
    choice("lamp", "Lamp", ["", FILAMENT]),
    things("along_ids", "Its cables follow"),
)
