"""Stones heavier than one person lifts: by their size, and by what such stone weighs."""

from collections.abc import Iterator

from app.domain.basis import Material, Rule
from app.domain.checks.hazards import places_named
from app.domain.checks.rules import NEAR, Check, limit_of, quiet
from app.domain.checks.yard import Placed, Yard
from app.domain.findings import Finding
from app.domain.takeoff.buying import constant

DENSITY = "lift-density"
VALUES = frozenset({DENSITY})


def lift_by_hand(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Units the client sees that weigh more than one person lifts, each material once."""
    usual = yard.basis.rules.get(DENSITY)
    found: dict[str, tuple[Material, list[Placed]]] = {}
    for placed in yard.placed:
        for one in yard.finishes(placed):
            found.setdefault(one.key, (one, []))[1].append(placed)
    for one, works in found.values():
        pounds = weight_of(one, usual.value if usual else 0.0)
        if pounds is not None and pounds > rule.value + NEAR:
            yield quiet(
                rule,
                f"material:{one.key}",
                f"{one.title} weighs about {pounds:.0f} lb apiece ({places_named(tuple(works))}): more than one lifts.",
                measured=f"about {pounds:.0f} lb",
                remedy=f"Two people, a clamp or a machine; {limit_of(rule, yard.basis.firm.system, 'alone at most')}.",
            )


def weight_of(material: Material, usual: float) -> float | None:
    """What one unit weighs [lb], by its three sides and its density, else the usual one [lb/cu ft]; None without sides.

    >>> sides = {"thickness": "2*inch", "length": "2*foot", "width": "2*foot"}
    >>> round(weight_of(Material(key="s", title="Slab", role="r", buy="each", **sides), 150.0))
    100
    """
    sides = (material.thickness, material.length, material.width)
    if material.buy != "each" or not all(sides):
        return None
    density = constant(material.placed_density)[0] if material.placed_density else usual
    thick, long, wide = (float(constant(side)[0]) for side in sides)
    return thick * long * wide * float(density)


CHECKS: dict[str, Check] = {"lift-by-hand": lift_by_hand}
