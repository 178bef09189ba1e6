"""Names that lie near one another: which materials a line of a price list may be. Only ever proposed to a person."""

import re
from collections import Counter, defaultdict
from collections.abc import Mapping
from difflib import SequenceMatcher
from math import log

_WORD = re.compile(r"[a-z]+|\d+(?:[./]\d+)*")
_ENDING = re.compile(r"(?<=[a-z]{3})(?:es|s)$")
FEW = 8  # names compared letter by letter
NEAR_ENOUGH = 0.5
SHORTHAND: Mapping[str, str] = {
    "blk": "black", "brn": "brown", "gry": "gray", "grey": "gray", "grn": "green", "wht": "white", "conc": "concrete",
    "crsh": "crushed", "flgstn": "flagstone", "mtl": "metal", "pvr": "paver", "stl": "steel", "stn": "stone",
    "wd": "wood", "w": "with",
}  # fmt: skip


def plain_name(text: str) -> str:
    """A name in plain words: case, signs and plurals aside. Two names with the same plain name are the same name.

    >>> plain_name("Pavers, clay (4 × 8)")
    'paver clay 4 8'
    """
    return " ".join(words_of(text))


def words_of(text: str) -> tuple[str, ...]:
    """The words and numbers of a name, shorthand written out."""
    found = (_ENDING.sub("", word) for word in _WORD.findall(text.casefold()))
    return tuple(SHORTHAND.get(word, word) for word in found)


class Names:
    """The names of a book, looked up by the words they share; a rare word says more than a common one."""

    def __init__(self, names: Mapping[str, str]) -> None:
        self._plain = {key: plain_name(name) for key, name in names.items()}
        self._by_word: dict[str, list[str]] = defaultdict(list)
        self._same: dict[str, list[str]] = defaultdict(list)
        for key, plain in self._plain.items():
            self._same[plain].append(key)
            for word in set(plain.split()):
                self._by_word[word].append(key)
        self._weight = {word: log(1 + len(names) / len(keys)) for word, keys in self._by_word.items()}
        self._whole = {key: self._weigh(set(plain.split())) for key, plain in self._plain.items()}

    def same(self, name: str) -> tuple[str, ...]:
        """The keys whose name is this one."""
        return tuple(self._same.get(plain_name(name), ())) if name else ()

    def near(self, name: str, most: int = 3) -> tuple[str, ...]:
        """The keys whose names lie nearest, the nearest first; none where none is near enough."""
        plain = plain_name(name)
        words = set(plain.split())
        shared: Counter[str] = Counter()
        for word in words:
            for key in self._by_word.get(word, ()):
                shared[key] += self._weight[word]  # type: ignore[assignment]  # weights are no counts, sums are
        whole = self._weigh(words)
        by_words = {key: 2 * weight / (whole + self._whole[key]) for key, weight in shared.most_common(FEW)}
        scored = [(0.6 * by + 0.4 * _alike(plain, self._plain[key]), key) for key, by in by_words.items()]
        return tuple(
            key for score, key in sorted(scored, key=lambda one: (-one[0], one[1]))[:most] if score >= NEAR_ENOUGH
        )

    def _weigh(self, words: set[str]) -> float:
        rare = max(self._weight.values(), default=1.0)
        return sum(self._weight.get(word, rare) for word in words) or 1.0


def _alike(one: str, other: str) -> float:
    in_order = " ".join(sorted(one.split())), " ".join(sorted(other.split()))
    return SequenceMatcher(None, *in_order, autojunk=False).ratio()
