"""The tables of what slows work at a site, as rules of the basis hold them: one rule a row, the firm's to change.

`slow-barrow-haul-60` is the factor for what is carried 60 ft or more by barrow: the number at the end of an id is where
its row begins (feet carried; percent of slope). A basis without such rules is one from before they were: it keeps the
tables it was priced by (`BEFORE`), which knew one table of carrying.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from app.domain.basis import Rule
from app.domain.keeping import KeptByInputs, Same

Steps = tuple[tuple[float, float], ...]  # (least value, factor): the last row that a site reaches counts
Named = tuple[tuple[str, float], ...]
Ways = tuple[tuple[float, float, str], ...]  # least width [ft], factor, way
MACHINE_RULE = "machine-passes"  # the width a small machine needs
MACHINE = 5.0  # ft, where that rule is not in the book
FIRST = "slow-"


@dataclass(frozen=True, slots=True)
class Tables:
    """What slows work, by cause. Widths in feet, distances in feet, slopes as rise over run."""

    machine_width: float
    access: Ways
    told: Named  # as told on the first call, until the way in is measured
    haul_by_barrow: Steps
    haul_by_machine: Steps  # empty: one table of carrying for both
    slope: Steps
    soil: Named


def _ways(hand: float, barrow: float, machine: float, widths: tuple[float, float]) -> Ways:
    """The ways in, by the width from which a barrow passes, and a machine."""
    return ((0.0, hand, "by hand"), (widths[0], barrow, "by barrow"), (widths[1], machine, "a machine passes"))


# what was priced before these tables were rules stays priced so
BEFORE = Tables(
    machine_width=MACHINE,
    access=_ways(1.35, 1.2, 1.0, (3.0, MACHINE)),
    told=(("easy", 1.0), ("tight", 1.2), ("hard", 1.35)),
    haul_by_barrow=((0.0, 1.0), (60.0, 1.1), (150.0, 1.25), (300.0, 1.4)),
    haul_by_machine=(),
    slope=((0.0, 1.0), (0.08, 1.1), (0.15, 1.25), (0.25, 1.45)),
    soil=(("sand", 1.0), ("loam", 1.0), ("fill", 1.1), ("clay", 1.2), ("rock", 1.6)),
)
_TABLES: KeptByInputs[Tables] = KeptByInputs(1, each=16)


def tables_of(rules: Mapping[str, Rule]) -> Tables:
    """The tables of a basis: the very same object for the same rules."""
    return _TABLES.get_or_make("tables", (Same(rules),), lambda: _read(rules))


def _read(rules: Mapping[str, Rule]) -> Tables:
    passes = rules[MACHINE_RULE].value if MACHINE_RULE in rules else MACHINE
    if "slow-barrow-haul-0" not in rules:
        (_, hand, _), (barrow_from, barrow, _), (_, machine, _) = BEFORE.access
        return Tables(
            machine_width=passes,
            access=_ways(hand, barrow, machine, (barrow_from, passes)),
            told=BEFORE.told,
            haul_by_barrow=BEFORE.haul_by_barrow,
            haul_by_machine=(),
            slope=BEFORE.slope,
            soil=BEFORE.soil,
        )

    def one(key: str, before: float) -> float:
        return rules[FIRST + key].value if FIRST + key in rules else before

    return Tables(
        machine_width=passes,
        access=_ways(
            one("access-hand", 1.0),
            one("access-barrow", 1.0),
            one("access-machine", 1.0),
            (one("barrow-width", 0.0), passes),
        ),
        told=_named(rules, "told-"),
        haul_by_barrow=_steps(rules, "barrow-haul-"),
        haul_by_machine=_steps(rules, "machine-haul-"),
        slope=tuple((least / 100, factor) for least, factor in _steps(rules, "slope-")),
        soil=_named(rules, "soil-"),
    )


def _named(rules: Mapping[str, Rule], prefix: str) -> Named:
    """Rows by name, as the rules list them."""
    whole = FIRST + prefix
    return tuple((key.removeprefix(whole), rule.value) for key, rule in rules.items() if key.startswith(whole))


def _steps(rules: Mapping[str, Rule], prefix: str) -> Steps:
    """Rows by where they begin, in that order; an id that ends in no number is no row. Without any nothing slows."""
    rows = [(name, factor) for name, factor in _named(rules, prefix) if name.isascii() and name.isdigit()]
    return tuple(sorted((float(name), factor) for name, factor in rows)) or ((0.0, 1.0),)
