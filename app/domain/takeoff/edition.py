"""The edition of a recipe: the recipe with all that it includes, as it is at one time, named by its content.

What stands at its default is left out of the content, so that a later release which knows one field more names the
same recipe the same.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256

from app.domain.basis import Assembly
from app.domain.codec import canonical_bytes, content_hash, from_plain, to_lean
from app.domain.takeoff.included import Recipes, with_included


@dataclass(frozen=True, slots=True, kw_only=True)
class Edition:
    """One recipe by key, and by key every recipe that it is made of, itself among them."""

    recipe: str
    recipes: Recipes


def edition_bytes(recipes: Recipes, key: str) -> bytes:
    """The content of a recipe's edition: what is kept, and what names it."""
    return canonical_bytes(to_lean(Edition(recipe=key, recipes=with_included(recipes, key))))


def edition_name(recipes: Recipes, key: str) -> str:
    """The name of a recipe's edition, SHA-256 (hex) of its content; empty for a recipe that is not known."""
    return sha256(edition_bytes(recipes, key)).hexdigest() if key in recipes else ""


def read_edition(plain: Mapping[str, object]) -> Edition:
    """An edition of its plain content, also of the earlier form: one recipe alone, every field written out.

    Raises: BadValue when it is neither.
    """
    if "recipes" in plain:
        return from_plain(plain, Edition)
    alone = from_plain(plain, Assembly)
    return Edition(recipe=alone.key, recipes={alone.key: alone})


def is_same(recipes: Recipes, key: str, name: str, kept: Edition | None) -> bool:
    """Whether the recipe is still the edition of that name. `kept` is what is kept under the name, where it is.

    A name of the earlier form says nothing of what the recipe includes: it is the same while the recipe itself is.
    """
    if key not in recipes:
        return False
    if name in {edition_name(recipes, key), content_hash(recipes[key])}:
        return True
    return kept is not None and all(recipes.get(one) == recipe for one, recipe in kept.recipes.items())
