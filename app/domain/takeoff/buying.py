"""How an amount in place becomes an amount to buy: directly, by density or by coverage."""

from collections.abc import Callable
from functools import lru_cache

from app.domain.basis import Material, Task
from app.domain.errors import BadValue, OutlayError
from app.domain.findings import Finding, Severity
from app.domain.takeoff.formula import formula
from app.domain.takeoff.kind import Kind, Special
from app.domain.takeoff.tree import FormulaRefused, Scope, nearest
from app.domain.units import LENGTH, RATIO, TRADE_UNITS, VOLUME, WEIGHT, Dimension, TradeUnit

CONVENTIONS_APART = 0.15  # two ways to say what a material covers may differ by this share
_NO_NAMES = Scope()


@lru_cache(maxsize=4096)
def constant(text: str) -> tuple[float, Dimension]:
    """A formula of numbers and units only, as its value in canonical units and its dimension.

    Raises: FormulaRefused, FormulaFailed.

    >>> constant("140*lb/foot**3")[0]
    140.0
    """
    read = formula(text, _NO_NAMES)
    if read.kind is Special.TRUTH:
        raise FormulaRefused(f"“{text}” is true or false; a number with its unit is wanted.")
    return read.number({}), read.kind if isinstance(read.kind, Dimension) else RATIO


def trade_unit(text: str) -> TradeUnit:
    """The unit a material is bought by or a task is rated by. Raises: BadValue with the nearest known unit."""
    unit = TRADE_UNITS.get(text)
    if unit is None:
        raise BadValue(f"“{text}” is not a unit known here.{nearest(text, TRADE_UNITS)}", field="unit")
    return unit


def coverage_of(material: Material) -> tuple[float, Dimension] | None:
    """What one bought unit covers, in canonical units; None where the material says nothing."""
    return constant(material.coverage) if material.coverage else None


def wanted_dimensions(material: Material) -> tuple[Dimension, ...]:
    """The dimensions a part's amount may have so that this material can be bought for it."""
    unit = trade_unit(material.buy)
    covered = coverage_of(material)
    found = [covered[1]] if covered else []
    found.append(unit.dimension)
    if material.placed_density and unit.dimension in (WEIGHT, VOLUME):
        found.append(VOLUME if unit.dimension == WEIGHT else WEIGHT)
    return tuple(dict.fromkeys(found))


def bought_amount(material: Material, amount: float, dimension: Dimension) -> float:
    """An amount in place [canonical units of its dimension] in units the material is bought by, loss not included.

    By coverage where that fits, else directly, else by the density of what ends up in place.
    Raises: BadValue where none of them fits.
    """
    unit = trade_unit(material.buy)
    covered = coverage_of(material)
    if covered and covered[1] == dimension:
        return amount / covered[0]
    if unit.dimension == dimension:
        return amount / unit.size
    if material.placed_density and {unit.dimension, dimension} == {WEIGHT, VOLUME}:
        density = constant(material.placed_density)[0]
        return (amount * density if dimension == VOLUME else amount / density) / unit.size
    raise BadValue(f"{material.title}: {buying_words(material)}; {dimension.unit} cannot be bought of it.")


def buying_words(material: Material) -> str:
    """How a material is bought, and what is therefore wanted of a formula."""
    unit = trade_unit(material.buy)
    covered = coverage_of(material)
    words = f"{material.title} is bought by the {unit.one}"
    if covered:
        words += f" and covers {covered[1].unit}"
    if material.placed_density:
        words += " and has a density"
    wanted = [d.name if d != RATIO else f"a number of {unit.many}" for d in wanted_dimensions(material)]
    return f"{words}, so {' or '.join(wanted)} is wanted"


def check_material(material: Material) -> tuple[Finding, ...]:
    """Everything that keeps a material from being bought or drawn, as findings."""
    found = _Checked(f"material:{material.key}", material.title or material.key)
    found.run("Bought by", lambda: trade_unit(material.buy))
    for label, text, wanted in (
        ("Density in place", material.placed_density, WEIGHT / VOLUME),
        ("Coverage", material.coverage, None),
        ("Thickness", material.thickness, LENGTH),
        ("Length", material.length, LENGTH),
        ("Width", material.width, LENGTH),
        ("Load", material.load, None),
    ):
        if text:
            found.constant(label, text, wanted)
    if not material.role:
        found.say("it fills no role; say what it is for.")
    if not 0 <= material.loss < 1:
        found.say(f"a loss of {material.loss:g} is no share from 0 to 1; 8% is 0.08.")
    if material.loosens < 1:
        found.say(f"loose volume {material.loosens:g} times the volume in place; it cannot be below 1.")
    if not found.findings:
        _check_conventions(material, found)
    return tuple(found.findings)


def check_task(task: Task) -> tuple[Finding, ...]:
    """Everything that keeps a task's hours from being worked out, as findings."""
    found = _Checked(f"task:{task.key}", task.title or task.key)
    unit = found.run("Unit", lambda: trade_unit(task.unit))
    low, likely, high = task.hours
    if not 0 < low <= likely <= high:
        found.say(f"hours {low:g}, {likely:g}, {high:g} must rise from low to likely to high and be above 0.")
    low, likely, high = task.setup
    if not 0 <= low <= likely <= high:
        found.say(f"set-up hours {low:g}, {likely:g}, {high:g} must rise from low to likely to high.")
    if task.learned_on:
        found.constant("Learned on", task.learned_on, unit.dimension if unit else None)
    return tuple(found.findings)


def _check_conventions(material: Material, found: "_Checked") -> None:
    """Coverage at a thickness and density say the same thing twice: they must agree."""
    covered = coverage_of(material)
    unit = trade_unit(material.buy)
    if not (covered and material.thickness and material.placed_density) or unit.dimension != WEIGHT:
        return
    if covered[1] != LENGTH * LENGTH:
        return
    weight = covered[0] * constant(material.thickness)[0] * constant(material.placed_density)[0]
    if abs(weight - unit.size) > CONVENTIONS_APART * unit.size:
        found.say(
            f"by coverage and thickness one {unit.one} weighs {weight:,.0f} lb, by its unit {unit.size:,.0f} lb; "
            "the two are more than 15% apart. Correct coverage, thickness or density."
        )


class _Checked:
    """Collects the findings about one thing."""

    def __init__(self, where: str, title: str) -> None:
        self.where = where
        self.title = title
        self.findings: list[Finding] = []

    def say(self, sentence: str) -> None:
        what = f"{self.title}: {sentence}"
        self.findings.append(Finding(rule="library", severity=Severity.STOP, where=self.where, what=what))

    def run(self, label: str, work: Callable[[], TradeUnit]) -> TradeUnit | None:
        try:
            return work()
        except OutlayError as wrong:
            self.say(f"{label}: {wrong.sentence}")
            return None

    def constant(self, label: str, text: str, wanted: Kind | None) -> None:
        try:
            value, dimension = constant(text)
        except OutlayError as wrong:
            self.say(f"{label}: {wrong.sentence}")
            return
        if wanted is not None and dimension != wanted:
            unit = wanted.unit if isinstance(wanted, Dimension) else ""
            self.say(f"{label}: {text} gives {dimension.unit}; {unit} is wanted.")
        elif value <= 0:
            self.say(f"{label}: {text} must be above 0.")
