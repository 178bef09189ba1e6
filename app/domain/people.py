"""The people who build: a name, and the language their sheets are in."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Language = Literal["en", "es"]
LANGUAGES: dict[Language, str] = {"en": "English", "es": "Español"}


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewMember:
    """Somebody of the crew. The key stays when the name is put right."""

    key: str
    name: str
    language: Language = "en"


def key_for(name: str, taken: Iterable[str]) -> str:
    """A key that an address can hold, and nobody else has.

    >>> key_for("Luz M.", ()), key_for("Luz M.", ["luz-m"]), key_for("庭", ())
    ('luz-m', 'luz-m-2', 'one')
    """
    letters = "".join(one if one.isascii() and one.isalnum() else " " for one in name.lower())
    plain, known = "-".join(letters.split())[:40] or "one", set(taken)
    numbered = (f"{plain}-{number}" if number > 1 else plain for number in range(1, len(known) + 2))
    return next(one for one in numbered if one not in known)
