"""The color of a bloom as people say it, as hex for drawings: “pale pink”, “blue-violet”, “wine red #722f37”.

A word is an aid to see beds by, never a match: flowers vary by variety, soil and light.
"""

import re
from collections.abc import Mapping
from functools import lru_cache

from app.domain.palette.color import lab_of, mean_of

# Where a word is a named color of the CSS Color Module Level 4 (W3C), its hex is the one given there; those marked are
# ours, nearer to petals than the screen color of that name: assumption.
WORDS: Mapping[str, str] = {
    "white": "#ffffff",
    "ivory": "#fffff0",
    "cream": "#fbf3d4",  # ours
    "yellow": "#f5d63d",  # ours: the named one is a lamp
    "gold": "#e8b923",  # ours
    "apricot": "#f5b887",  # ours
    "peach": "#f6c6a8",  # ours
    "coral": "#ff7f50",
    "salmon": "#fa8072",
    "orange": "#ee8130",  # ours
    "rust": "#a9502d",  # ours
    "red": "#c32f35",  # ours
    "scarlet": "#d7262e",  # ours
    "crimson": "#dc143c",
    "maroon": "#6e2233",  # ours
    "wine": "#722f37",  # ours
    "pink": "#e996ad",  # ours: the named one is nearly white on paper
    "rose": "#d65a84",  # ours
    "magenta": "#c2388f",  # ours
    "purple": "#83479b",  # ours
    "mauve": "#b08bb5",  # ours
    "lilac": "#bfa3cf",  # ours
    "lavender": "#a99bd6",  # ours: the named one is nearly white on paper
    "violet": "#6f54b3",  # ours
    "indigo": "#4b0082",
    "blue": "#4f74c9",  # ours
    "green": "#8fae5a",  # ours: that of a bloom, not of a leaf
    "chartreuse": "#c3cf45",  # ours
    "tan": "#d2b48c",
    "buff": "#d8bf8c",  # ours
    "bronze": "#9a7146",  # ours
    "brown": "#8a5a3c",  # ours
    "silver": "#c0c0c0",
}
LIGHTER, DARKER = frozenset({"pale", "light", "soft"}), frozenset({"deep", "dark"})
MIXED = 0.5  # how much white, or black, is in what is called light, or dark. Assumption
_HEX = re.compile(r"#([0-9a-f]{6})", re.IGNORECASE)


@lru_cache(maxsize=2048)
def bloom_hex(said: str) -> str:
    """A color as it is said, as hex; empty where no word of it is known.

    A hex that is said stands. Several words mix, the last counts twice: “purple-pink” is a pink.
    Source: the CSS Color Module Level 4 for the words it names; the rest and the mixing: assumption.
    >>> bloom_hex("white"), bloom_hex("wine red #722f37"), bloom_hex("as the light falls")
    ('#ffffff', '#722f37', '')
    """
    if typed := _HEX.search(said):
        return f"#{typed[1].lower()}"
    words = re.findall(r"[a-z]+", said.casefold())
    known = [found for word in words if (found := _known(word))]
    if not known:
        return ""
    shares = dict.fromkeys(known, 0.0)
    for place, color in enumerate(known):
        shares[color] += 2.0 if place == len(known) - 1 else 1.0
    whole = sum(shares.values())
    color = mean_of({one: share / whole for one, share in shares.items()})
    if LIGHTER & set(words):
        return mean_of({color: 1 - MIXED, "#ffffff": MIXED})
    return mean_of({color: 1 - MIXED, "#000000": MIXED}) if DARKER & set(words) else color


def _known(word: str) -> str:
    """A word of the table, as it stands or as something like it: reddish, purplish, rosy, creamy."""
    stem = word.removesuffix("ish") if word.endswith("ish") else word.removesuffix("y")
    forms = (word,) if stem == word else (word, stem, f"{stem}e", stem[:-1] if stem[-1:] == stem[-2:-1] else stem)
    return next((WORDS[form] for form in forms if form in WORDS), "")


def bloom_hexes(colors: tuple[str, ...]) -> tuple[str, ...]:
    """The colors of a bloom as hex, each once, in the order said; without those no word of which is known."""
    return tuple(dict.fromkeys(found for one in colors if (found := bloom_hex(one))))


def named_only(said: str) -> str:
    """A color without a hex that was typed with it.

    >>> named_only("wine red #722f37")
    'wine red'
    """
    return " ".join(_HEX.sub("", said).split()) or said


def is_light(color: str) -> bool:
    """Whether a color is too light to be told from paper without a line around it."""
    return lab_of(color)[0] > 85
