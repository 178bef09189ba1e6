"""The Munsell chips of soil and stone, as the library has them."""

import tomllib
from functools import lru_cache
from pathlib import Path

from app.domain.palette.munsell import Chips
from app.interchange.library_file import SHIPPED


@lru_cache(maxsize=4)
def soil_chips(folder: Path = SHIPPED) -> Chips:
    """All chips of the table."""
    told = tomllib.loads((folder / "munsell.toml").read_text(encoding="utf-8"))
    hues = {
        hue: {int(value): {float(c): (x, a, b) for c, x, a, b in row} for value, row in rows.items()}
        for hue, rows in told["hue"].items()
    }
    return Chips(hues, {int(value): float(lightness) for value, lightness in told["neutral"].items()})
