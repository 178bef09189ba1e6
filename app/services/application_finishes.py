"""The finishes of a yard as whoever decides on an application reads them: each once, with all places where it lies."""

from dataclasses import dataclass

from app.services.palette import palette
from app.services.sheets import Sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class Finish:
    """A finish of the yard: what it is for, its material, the letters of the zones where it lies (none: whole job)."""

    role: str
    material: str
    title: str
    letters: tuple[str, ...]


def finishes_of(view: Sheet) -> tuple[Finish, ...]:
    """Every finish once, with all places where it lies, in the order of the palette."""
    found: dict[tuple[str, str], list[str]] = {}
    titles: dict[str, str] = {}
    for card in palette(view):
        for use in card.uses:
            if use.material is not None:
                titles[use.material.key] = use.material.title
                letters = found.setdefault((card.role, use.material.key), [])
                letters += [use.zone.letter] if use.zone and use.zone.letter not in letters else []
    return tuple(
        Finish(role=role, material=key, title=titles[key], letters=tuple(sorted(letters)))
        for (role, key), letters in found.items()
    )
