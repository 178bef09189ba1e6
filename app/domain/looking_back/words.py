"""The words that a job is found by, and the fragments that somebody types."""

import unicodedata
from collections.abc import Iterable

LEAST = 2  # letters that a fragment within a word has; of fewer only whole words are found
MOST_PIECES = 6  # of a search
LONGEST = 40  # letters of a word that are looked at


def words_of(texts: Iterable[str]) -> frozenset[str]:
    """The words of some texts, folded: without accents, in small letters.

    >>> sorted(words_of(["27 Quarry Bend", "O'Neill-Peña"]))
    ['27', 'bend', 'neill', 'o', 'pena', 'quarry']
    """
    return frozenset(piece for text in texts for piece in _split(text))


def parts_of(word: str) -> frozenset[str]:
    """What a word is found by: itself from each of its letters on.

    >>> sorted(parts_of("bend"))
    ['bend', 'end', 'nd']
    """
    return frozenset({word, *(word[at:] for at in range(len(word) - LEAST + 1))})


def pieces_of(typed: str) -> tuple[str, ...]:
    """What a search looks for: every word or fragment typed, the longest first.

    >>> pieces_of("27 quarr")
    ('quarr', '27')
    """
    return tuple(sorted(dict.fromkeys(_split(typed)), key=lambda one: (-len(one), one))[:MOST_PIECES])


def after(piece: str) -> str:
    """The first text after all those that begin with a piece, in the order of code points."""
    return piece + "\U0010ffff"


def nearness(pieces: Iterable[str], words: Iterable[str]) -> tuple[int, int]:
    """How well words fit what was typed: pieces that are whole words, and pieces that a word begins with.

    >>> nearness(("quarry", "be"), ("27", "quarry", "bend"))
    (1, 2)
    """
    held = tuple(words)
    looked = tuple(pieces)
    whole = sum(1 for one in looked if one in held)
    return whole, sum(1 for one in looked if any(word.startswith(one) for word in held))


def _split(text: str) -> list[str]:
    plain = unicodedata.normalize("NFKD", text.replace("ß", "ss")).casefold()
    kept = "".join(" " if not one.isalnum() else one for one in plain if not unicodedata.combining(one))
    return [piece[:LONGEST] for piece in kept.split()]
