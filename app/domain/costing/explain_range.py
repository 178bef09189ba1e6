"""Where the figures of the range come from: the band, a percentile, a chance, what drives it and by which lines.

Figures: `range`, `percentile:NUMBER`, `chance:contingency`, `chance:price`, `mover:NAME` (a group or a common cause).
"""

from collections.abc import Sequence

from app.domain.basis import Basis
from app.domain.costing.chances import RISKS
from app.domain.costing.estimate import Estimate
from app.domain.costing.explain_words import whole_money
from app.domain.costing.movers import title_of
from app.domain.costing.outlook import outlook
from app.domain.costing.range import Input, closed_form
from app.domain.costing.risks import expected_cents, ours, three_points
from app.domain.job import Job
from app.domain.takeoff.trace import Trace

MOST_LINES = 12
PERCENTILE = "low, likely and high of every line; what moves together moves as one"


def explain_range(worked: Estimate, basis: Basis) -> Trace:
    """The width of the band, by what moves together."""
    low, mean, high = closed_form(worked.inputs)
    told = f"direct cost {whole_money(low)} … {whole_money(mean)} … {whole_money(high)}, carried to the price"
    groups = [
        _money(basis, title_of(name, basis), one.likely, ("low to high", _ends(one.low, one.high)))
        for name, one in worked.inputs.groups.items()
    ]
    return _money(
        basis,
        "Band of the price",
        worked.range.high - worked.range.low,
        ("10th to 90th percentile; what moves together moves as one", told),
        *groups,
        source=_common_words(worked, basis),
    )


def explain_outlook(_job: Job, basis: Basis, worked: Estimate, figure: str) -> Trace | None:
    """A percentile or a chance, in closed form; None for a figure that is none."""
    kind, _, rest = figure.partition(":")
    found = outlook(worked, worked.inputs.distribution)
    if kind == "percentile":
        one = next((one for one in found.percentiles if str(one.number) == rest), None)
        if one is None:
            return None
        told = (PERCENTILE, f"direct cost {whole_money(one.direct_cents)}, carried to the price")
        name = f"Price in {one.number} of 100 cases or less"
        return _money(basis, name, one.price_cents, told, explain_range(worked, basis))
    chances = {
        "contingency": ("More is spent than is set aside", found.over_contingency, found.room_cents),
        "price": ("The job costs more than its price", found.over_price, found.all_cents),
    }
    if rest not in chances:
        return None
    name, share, cents = chances[rest]
    steps = [_step(worked, basis, title, step) for step, title in _ROOM[: 2 if rest == "contingency" else len(_ROOM)]]
    limit = _money(basis, "Direct cost that may be spent", cents, ("sum of these", ""), *steps)
    words = "share of cases with a direct cost above what may be spent; overhead, reserve and tax as reckoned"
    return Trace(label=name, expression=words, filled="", result=share * 100, unit="%", steps=(limit,))


_ROOM = (
    ("direct", "Direct cost"),
    ("contingency", "For what nobody foresaw"),
    ("profit", "Profit"),
    ("adjustment", "Put on or taken off by name"),
    ("rounding", "Rounding"),
)


def _step(worked: Estimate, basis: Basis, title: str, step: str) -> Trace:
    return _money(basis, title, worked.build_up.step(step).cents, ("step of the build-up", ""))


def explain_mover(job: Job, basis: Basis, worked: Estimate, figure: str) -> Trace | None:
    """What drives the price, by the lines that can move furthest with it; None for one that does not."""
    name = figure.partition(":")[2]
    group = worked.inputs.groups.get(name)
    if group is not None:
        members = [one for one in worked.inputs.inputs if one.group == name]
        widest = sorted(members, key=lambda one: (one.low - one.high, one.line))
        steps = [_line(worked, basis, one, one.low, one.high) for one in widest[:MOST_LINES]]
        told = ("low to high of its lines, together", _ends(group.low, group.high))
        return _money(basis, title_of(name, basis), group.high - group.low, told, *steps, source=_more(widest))
    if name == RISKS and worked.inputs.chances:
        return _risks(job, basis)
    at = next((at for at, one in enumerate(worked.inputs.common) if one.name == name), None)
    if at is None:
        return None
    cause = worked.inputs.common[at].spread
    bearing = [one for one in worked.inputs.inputs if one.loads and one.loads[at]]
    widest = sorted(bearing, key=lambda one: (-one.likely * one.loads[at], one.line))
    steps = [
        _line(worked, basis, one, *(one.likely * (1 + end * one.loads[at]) for end in (cause.low, cause.high)))
        for one in widest[:MOST_LINES]
    ]
    borne = worked.inputs.loaded[name]
    told = ("what each line bears of it", _ends(borne * cause.low, borne * cause.high))
    return _money(
        basis,
        title_of(name, basis),
        borne * (cause.high - cause.low),
        told,
        *steps,
        source=_common_words(worked, basis),
    )


def _risks(job: Job, basis: Basis) -> Trace:
    """What may happen: each risk we carry, from nothing at all to its dearest; its mean is in the price."""
    carried = ours(job)
    steps = [
        _money(
            basis,
            one.title or "A risk",
            three_points(one)[2],
            (f"in {float(one.chance):.0%} of cases", f"then {_ends(three_points(one)[0], three_points(one)[2])}"),
        )
        for one in carried
    ]
    mean = whole_money(sum(expected_cents(one) for one in carried))
    told = ("nothing of it happens, to all of it at its dearest", f"{mean} of it is in the price")
    return _money(basis, title_of(RISKS, basis), sum(three_points(one)[2] for one in carried), told, *steps)


def _line(worked: Estimate, basis: Basis, one: Input, low: float, high: float) -> Trace:
    title = worked.lines[one.line].title if one.line >= 0 else "What does not move"
    return _money(basis, title, one.likely, ("low to high", _ends(low, high)))


def _more(members: Sequence[Input]) -> str:
    left = len(members) - MOST_LINES
    return f"and {left} lines that move less" if left > 1 else "and one line that moves less" if left == 1 else ""


def _ends(low: float, high: float) -> str:
    return f"{whole_money(low)} … {whole_money(high)}"


def _common_words(worked: Estimate, basis: Basis) -> str:
    told = []
    for at, cause in enumerate(worked.inputs.common):
        loads = sorted({one.loads[at] for one in worked.inputs.inputs if one.loads and one.loads[at]})
        ends = ((cause.spread.low * load, cause.spread.high * load) for load in loads[:: max(1, len(loads) - 1)])
        told += [f"{title_of(cause.name, basis)}: {low:+.1%} to {high:+.1%}" for low, high in ends]
    return "; ".join(dict.fromkeys(told)) + (" (rules of the firm)" if told else "")


def _money(basis: Basis, label: str, cents: float, told: tuple[str, str], *steps: Trace, source: str = "") -> Trace:
    return Trace(
        label=label,
        expression=told[0],
        filled=told[1],
        result=round(cents) / 100,
        unit=basis.firm.currency,
        source=source,
        steps=steps,
    )
