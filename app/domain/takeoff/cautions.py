"""Which cautions a recipe brings with it: its own and those of what it includes."""

from app.domain.basis import Assembly, Basis


def caution_keys(assembly: Assembly, basis: Basis, depth: int = 5) -> tuple[str, ...]:
    """Keys of the caution texts of an assembly and its includes, each once, its own first."""
    keys = list(assembly.cautions)
    for include in assembly.includes:
        inner = basis.assemblies.get(include.assembly)
        if inner is not None and depth > 0:
            keys += caution_keys(inner, basis, depth - 1)
    return tuple(dict.fromkeys(keys))
