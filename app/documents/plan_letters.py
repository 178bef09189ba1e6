"""Letters along lines in the ground, so that whose line it is can be read where colors cannot be told apart."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from math import hypot

from app.documents.sheet_view import INK, PAPER, Taken, plain
from app.domain.plan.arcs import Point

EVERY, FIRST = 130.0, 46.0  # px: from one letter to the next; from where the line begins
RADIUS, SIZE = 9.5, 14.0  # px

# by key of `UTILITIES`. The initials of what the line carries; common practice, no source
LETTERS: Mapping[str, str] = {
    "electric": "E",
    "gas": "G",
    "communication": "C",
    "water": "W",
    "reclaimed": "R",
    "sewer": "S",
    "survey": "M",
    "proposed": "P",
}


def lettered(taken: Taken, line: Sequence[Point], letter: str) -> str:
    """The letter on its line [px] at equal distances, at least once, where nothing else stands yet."""
    drawn = []
    for x, y in _places(line):
        box = (x - RADIUS, y - RADIUS, x + RADIUS, y + RADIUS)
        if taken.is_free(box):
            taken.take(box)
            drawn.append(_letter((x, y), letter))
    return "".join(drawn)


def _places(line: Sequence[Point]) -> Iterator[Point]:
    lengths = [hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(line)]
    whole = sum(lengths)
    wanted = min(FIRST, whole / 2)
    begun = 0.0
    for (a, b), length in zip(pairwise(line), lengths, strict=True):
        while length and begun <= wanted <= begun + length:
            share = (wanted - begun) / length
            yield a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
            wanted += EVERY
        begun += length


def _letter(at: Point, letter: str) -> str:
    return (
        f'<circle cx="{at[0]:.1f}" cy="{at[1]:.1f}" r="{RADIUS:g}" fill="{PAPER}"/>'
        f'<text x="{at[0]:.1f}" y="{at[1] + SIZE * 0.35:.1f}" font-size="{SIZE:g}" font-weight="600" '
        f'text-anchor="middle" fill="{INK}">{plain(letter)}</text>'
    )
