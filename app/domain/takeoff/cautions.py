"""Which cautions a recipe brings with it: its own and those of what it includes."""

from app.domain.basis import Assembly, Basis
from app.domain.takeoff.included import with_included


def caution_keys(assembly: Assembly, basis: Basis) -> tuple[str, ...]:
    """Keys of the caution texts of an assembly and its includes, each once, its own first."""
    every = with_included(basis.assemblies, assembly.key).values()
    return tuple(dict.fromkeys(key for recipe in every for key in recipe.cautions))
