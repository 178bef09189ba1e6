"""How recipes stand in the drawing of the yard, as the library has them."""

import tomllib
from functools import lru_cache
from pathlib import Path

from app.domain.codec import from_plain
from app.domain.seen.shapes import Shape, Shapes
from app.interchange.library_file import SHIPPED


@lru_cache(maxsize=4)
def seen_shapes(folder: Path = SHIPPED) -> Shapes:
    """All shapes."""
    told = tomllib.loads((folder / "seen.toml").read_text(encoding="utf-8"))
    shapes = {key: from_plain(row, Shape) for key, row in told["shape"].items()}
    return Shapes(shapes, frozenset(told["unseen"]["recipes"]))
