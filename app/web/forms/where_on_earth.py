"""Where a yard lies on the earth, as typed: degrees of latitude and longitude, its zone of the hardiness map."""

import re

from app.domain.basis import Firm
from app.domain.errors import BadValue
from app.web.forms.fields import Field

WARMEST = 13


def coordinate(name: str, label: str, most: float) -> Field:
    """Degrees with decimals; south and west are negative, or end in S or W."""

    def reader(typed: str, _firm: Firm) -> float:
        found = re.fullmatch(r"(-?\d+(?:[.,]\d+)?)\s*°?\s*([NSEW]?)", typed.strip().upper())
        if not found:
            raise BadValue(f"{label}: “{typed[:40]}” was typed. Write degrees with decimals: 40.44, or 79.99 W.")
        value = float(found[1].replace(",", ".")) * (-1 if found[2] in ("S", "W") else 1)
        if not -most <= value <= most:
            raise BadValue(f"{label}: {value:g} was understood; it must lie between -{most:g} and {most:g} degrees.")
        return value

    return Field(name=name, label=label, reader=reader)


def usda_zone(name: str, label: str) -> Field:
    """A zone of the hardiness map: 1 to 13, with its half a or b."""

    def reader(typed: str, _firm: Firm) -> str:
        found = re.fullmatch(r"(?:zone\s*)?(\d{1,2})\s*([ab]?)", typed.strip().casefold())
        if not found or not 1 <= int(found[1]) <= WARMEST:
            raise BadValue(f"{label}: “{typed[:40]}” was typed. A zone is a number from 1 to 13 with a or b: 6b.")
        return f"{int(found[1])}{found[2]}"

    return Field(name=name, label=label, reader=reader, empty="")
