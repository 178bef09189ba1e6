"""What is said of work that is far from the size its task's hours were learned on."""

from collections.abc import Iterable, Iterator, Mapping

from app.domain.basis import Firm, Material, Task
from app.domain.costing.explain_words import unit_text
from app.domain.costing.lines import LaborLine
from app.domain.findings import Finding, Severity
from app.domain.takeoff.rates import learned_size, third_of
from app.domain.takeoff.trace import number_text
from app.domain.units import format_quantity


def learned_words(task: Task) -> str:
    """The size in words: `learned on 200 sq ft`; nothing where none is told."""
    size = learned_size(task.learned_on, task.unit)
    return f"learned on {number_text(size)} {unit_text(task.unit, size)}" if size else ""


def rate_source(task: Task, firm: Firm) -> str:
    """Where a task's hours come from, the size they were learned on, and at which pace of them the firm prices."""
    three = ", ".join(f"{one:g}" for one in task.hours)
    pace = "the usual pace" if third_of(task, firm) == "likely" else "the slow end, where the high third begins"
    jobs = f"{task.own_jobs} closed jobs of your own" if task.own_jobs else ""
    if task.learned is not None and task.learned.hours == task.hours:
        numbers = ", ".join(str(one) for one in task.learned.job_numbers)
        jobs = f"{jobs} (numbers {numbers}), which weigh {task.learned.weight:.0%}"
    told = (jobs, task.source, learned_words(task), f"{three} hours low, likely, high", f"priced at {pace}")
    return "; ".join(one for one in told if one)


def loss_source(material: Material) -> str:
    """Where a material's share lost comes from, where the firm took it from its own jobs; else its source."""
    known = material.learned
    if known is None or known.share != material.loss:
        return material.source
    numbers = ", ".join(str(one) for one in known.job_numbers)
    jobs = f"lost as own closed jobs showed (numbers {numbers}), {known.before:.1%} before"
    return "; ".join(one for one in (jobs, material.source) if one)


def far_from_learned(labor: Iterable[LaborLine | None], tasks: Mapping[str, Task]) -> Iterator[Finding]:
    """A note for each task that is done at places far from the size its hours were learned on; the farthest is told."""
    farthest: dict[str, tuple[float, LaborLine, int]] = {}
    for one in labor:
        if one is not None and one.times_off != 1.0:
            far = max(one.times_off, 1.0 / one.times_off)
            before = farthest.get(one.line.key)
            count = (before[2] if before else 0) + 1
            farthest[one.line.key] = (far, one, count) if before is None or far > before[0] else (*before[:2], count)
    for key, (_, one, count) in sorted(farthest.items()):
        yield _note(tasks[key], one, count)


def _note(task: Task, one: LaborLine, places: int) -> Finding:
    here = format_quantity(one.line.amount, task.unit, as_bought=True)
    more = f" (and {places - 1} other places)" if places > 2 else " (and one other place)" if places == 2 else ""
    return Finding(
        rule="size-far",
        severity=Severity.NOTE,
        where=f"work:{one.line.work_id}",
        what=f"{task.title}: {here} here{more}, its hours were {learned_words(task)}. They may not hold here.",
        measured=here,
        limit=learned_words(task),
        remedy="Look at the hours of these lines, or enter your own for such sizes in the library.",
        source="assumption: ten times smaller or larger",
    )
