"""Small drawings that stand before words on a crew sheet, for who reads pictures first. One ink, 24 by 24, our own."""

from collections.abc import Mapping
from html import escape

_PATHS: Mapping[str, str] = {
    "warn": "M12 3 22 20H2zM12 9.5v5M12 17v.6",
    "dust": "M10 8a6 6 0 1 0 0 12 6 6 0 0 0 0-12M10 14v-3M10 14h3"
    "M18 2c2 2.6 2.8 3.8 2.8 5.2a2.8 2.8 0 0 1-5.6 0C15.2 5.8 16 4.6 18 2",
    "lift": "M4 21h16l-2.4-11H6.4zM9 10a3 3 0 1 1 6 0",
    "flag": "M6 22V3l13 4.5L6 12",
    "lines": "M2 5h20M2 18c3-4 5.5 4 8.5 0s5.5 4 8.5 0M6 5v5M12 5v4M18 5v5",
    "bolt": "M13 2 5 14h6l-1 8 9-13h-6.5z",
    "flame": "M12 2c4 4.5 6 7 6 11.5a6 6 0 0 1-12 0c0-2.6 1.4-4 2.6-6 .8 1.6 1.6 2.4 2 3.2C11.8 8 12.5 5 12 2",
    "water": "M2 8c2.5-3 5 3 7.5 0s5 3 7.5 0 4 1.5 5 .5M2 16c2.5-3 5 3 7.5 0s5 3 7.5 0 4 1.5 5 .5",
    "tree": "M12 22v-8M12 17l-3-2M12 15a6 6 0 1 1 0-12 6 6 0 0 1 0 12",
    "sun": "M12 7a5 5 0 1 0 0 10 5 5 0 0 0 0-10M12 1.5v2.5M12 20v2.5M1.5 12H4M20 12h2.5"
    "M4.5 4.5 6.3 6.3M17.7 17.7l1.8 1.8M4.5 19.5l1.8-1.8M17.7 6.3l1.8-1.8",
    "trench": "M2 6h6v13h8V6h6M12 9v7M10 14l2 2.5 2-2.5",
    "machine": "M3 17h12v4H3zM5 17v-6h6l2 6M11 11l5-6 5 4v5l-3-1",
    "tool": "M4 20 14 10M12 4.5l7.5 7.5 2-2L15 2.5z",
    "photo": "M2 7h5l2-3h6l2 3h5v13H2zM12 9.5a4 4 0 1 0 0 8 4 4 0 0 0 0-8",
    "check": "M3 4h18v16H3zM7.5 12l3 3.5 6-7",
    "stake": "M12 22 9.5 17V6h5v11zM6 6h12M12 6V2",
    "layers": "M2 18h20M2 13h20M2 8h20M5 21v-3M9 21v-3M13 21v-3M17 21v-3",
    "amount": "M3 9h18v12H3zM3 9l3-5h12l3 5M12 4v5",
    "person": "M12 3a3.5 3.5 0 1 0 0 7 3.5 3.5 0 0 0 0-7M5 21c0-5 3-8 7-8s7 3 7 8",
    "start": "M3 21V3M3 21h18M3 21 17 7M11 6.5h6.5V13",
}
# caution → the drawing that stands before it
OF_CAUTION: Mapping[str, str] = {
    "dig": "flag",
    "private-lines": "lines",
    "gas": "flame",
    "electricity": "bolt",
    "low-voltage": "bolt",
    "silica": "dust",
    "lifting": "lift",
    "water": "water",
    "runoff": "water",
    "potable": "water",
    "fire": "flame",
    "trees": "tree",
    "plants": "tree",
    "heat": "sun",
    "open-excavation": "trench",
    "overhead-lines": "bolt",
    "machines": "machine",
    "hot-tub": "bolt",
}


def symbol_svg(name: str, label: str = "") -> str:
    """A symbol by its name, a warning sign for one that is not known; without a label the words beside it say it."""
    path = _PATHS.get(name, _PATHS["warn"])
    told = f'role="img" aria-label="{escape(label)}"' if label else 'aria-hidden="true"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 24 24" width="24" height="24" {told} fill="none" '
        f'stroke="#1d2a26" stroke-width="1.8" stroke-linejoin="round" stroke-linecap="round"><path d="{path}"/></svg>'
    )


def of_caution(key: str) -> str:
    """The name of the symbol of a caution."""
    return OF_CAUTION.get(key, "warn")
