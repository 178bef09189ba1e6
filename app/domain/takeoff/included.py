"""A recipe with all that it includes, however deep: one walk for checks, crew sheets, files and editions."""

from collections.abc import Iterator, Mapping

from app.domain.basis import Assembly

Recipes = Mapping[str, Assembly]


def with_included(recipes: Recipes, key: str) -> dict[str, Assembly]:
    """A recipe and what it includes by key, itself first, each once; what is not known is left out.

    >>> from app.domain.basis import Include
    >>> dig = Assembly(key="dig", title="")
    >>> pave = Assembly(key="pave", title="", includes=(Include(assembly="dig"), Include(assembly="gone")))
    >>> list(with_included({"dig": dig, "pave": pave}, "pave"))
    ['pave', 'dig']
    """
    found: dict[str, Assembly] = {}
    waiting = [key]
    while waiting:
        name = waiting.pop()
        recipe = recipes.get(name)
        if recipe is not None and name not in found:
            found[name] = recipe
            waiting += [include.assembly for include in reversed(recipe.includes)]
    return found


def innermost_first(recipes: Recipes, key: str) -> tuple[Assembly, ...]:
    """The same in the order of building: what a recipe includes stands before it."""
    return tuple(_innermost_first(recipes, key, set()))


def _innermost_first(recipes: Recipes, key: str, seen: set[str]) -> Iterator[Assembly]:
    recipe = recipes.get(key)
    if recipe is None or key in seen:
        return
    seen.add(key)
    for include in recipe.includes:
        yield from _innermost_first(recipes, include.assembly, seen)
    yield recipe
