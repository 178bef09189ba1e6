"""The one translation function: English sentences as they are, or as the Spanish catalog of the library says them.

A catalog is a folder of TOML files, each a table `[words]` of English sentence and its translation, and some a table
`[shaped]` of sentences that come with figures in them, which stand there as `%(name)s`. What it lacks stays English:
what somebody typed (the name of a zone, a note) is nobody's to translate.
"""

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from pathlib import Path

from app.domain import units
from app.domain.units import System

SHIPPED = Path(__file__).parents[1] / "library" / "spanish"
_FIGURE = re.compile(r"%\((\w+)\)s")
_HOLDS_FIGURE = re.compile(r"[\d“]")  # a sentence of a shape holds a number or what somebody typed
_AMOUNT = re.compile(r"([-−]?[\d.,/ ]*\d) ([^\d].*)")


@dataclass(frozen=True, slots=True)
class Tongue:
    """A language: call it with a sentence, and the figures to fill in as `%(name)s`."""

    language: str = "en"
    words: Mapping[str, str] = field(default_factory=dict, compare=False)
    shapes: Sequence[tuple[re.Pattern[str], str]] = field(default=(), compare=False)

    def __call__(self, sentence: str, /, **figures: object) -> str:
        """A sentence in this language."""
        if not figures and sentence not in self.words and self.shapes and _HOLDS_FIGURE.search(sentence):
            return self._shaped(sentence)
        said = self.words.get(sentence, sentence)
        return said % figures if figures else said

    def _shaped(self, sentence: str) -> str:
        """A sentence whose figures are in it already: by the first shape that fits, each figure in this language."""
        for shape, said in self.shapes:
            if found := shape.fullmatch(sentence):
                return said % {name: self._figure(text) for name, text in found.groupdict().items()}
        return sentence

    def _figure(self, text: str) -> str:
        return self.words[text] if text in self.words else self.amount(text)

    def counted(self, one: str, many: str, num: int, **figures: object) -> str:
        """One of two sentences, by a count."""
        return self(one if num == 1 else many, num=num, **figures)

    def day(self, day: date) -> str:
        """A day in words."""
        return units.format_day(day, language=self.language)

    def weekday(self, day: date) -> str:
        """The day of the week."""
        return self(day.strftime("%A"))

    def amount(self, text: str) -> str:
        """An amount as the formats write it, with its unit in this language: `12 bags`, `4 × strip, 40 ft in all`."""
        if self.shapes and (said := self._shaped(text)) != text:
            return said
        found = _AMOUNT.fullmatch(text) if self.words else None
        return f"{found[1]} {self(found[2])}" if found else text

    def slope(self, slope: float, system: System) -> str:
        """A slope."""
        text = units.format_slope(slope, system)
        for words in ("in per ft", "mm per m"):
            text = text.replace(words, self(words))
        return text


ENGLISH = Tongue()


@lru_cache(maxsize=8)
def tongue(language: str) -> Tongue:
    """A language by its code; English where there is no catalog."""
    return Tongue(language, catalog(SHIPPED), shapes(SHIPPED)) if language == "es" else ENGLISH


def catalog(folder: Path) -> Mapping[str, str]:
    """All sentences of a folder."""
    found: dict[str, str] = {}
    for path in sorted(folder.glob("*.toml")):
        found |= tomllib.loads(path.read_text(encoding="utf-8"))["words"]
    return found


def shapes(folder: Path) -> Sequence[tuple[re.Pattern[str], str]]:
    """All sentences of a folder that come with figures in them, each as what it looks like and its translation."""
    told: dict[str, str] = {}
    for path in sorted(folder.glob("*.toml")):
        told |= tomllib.loads(path.read_text(encoding="utf-8")).get("shaped", {})
    return tuple((_looks_like(sentence), said) for sentence, said in told.items())


def _looks_like(sentence: str) -> re.Pattern[str]:
    """A sentence with any figures: `%(num)s pallets go back`."""
    parts = _FIGURE.split(sentence)  # words and names by turns
    looks = (re.escape(part) if place % 2 == 0 else f"(?P<{part}>.+?)" for place, part in enumerate(parts))
    return re.compile("".join(looks), re.DOTALL)
