"""Lines in the ground: below paving without a sleeve, gas and power near each other."""

from collections.abc import Callable, Iterator

from app.domain.checks.yard import Yard
from app.domain.findings import Finding, Severity
from app.domain.job import Run, RunKind
from app.domain.takeoff.buried import near_each_other, runs_below, sleeved_stretches
from app.domain.units import format_length

SLEEVE = "sleeve"  # role of the part that is one
SLEEVED = frozenset({RunKind.CONDUIT, RunKind.PIPE, RunKind.OTHER})  # gas: as its fitter says; a drain needs none
APART = 1.0  # ft
SOURCE = (
    "Common practice: 12 in between gas and power in the ground, no single source; "
    "the gas fitter, the electrician, the utility and the local code decide"
)


def sleeve_wanted(yard: Yard) -> Iterator[Finding]:
    """Lines below a finished surface without a sleeve: to change them later, the surface comes up."""
    system = yard.basis.firm.system
    spans = sleeved_stretches(yard.job)
    for run in yard.job.runs:
        own = spans.get(run.id, ())
        if run.kind not in SLEEVED or not own or _has_sleeve(yard, run):
            continue
        over = [yard.neighbor(one.over) for one in runs_below(yard.job) if one.run.id == run.id and one.over != "house"]
        length = format_length(sum(high - low for low, high in own), system)
        yield Finding(
            rule="sleeve-wanted",
            severity=Severity.NOTE,
            where=f"run:{run.id}",
            what=f"{run.title or run.kind.value.capitalize()} runs {length} below {', '.join(dict.fromkeys(over))} "
            "without a sleeve.",
            measured=f"{length} in {len(own)}",
            limit="in a sleeve",
            source="Common practice, no source",
            remedy="Put a sleeve on it (one tap on the plan), or leave it where the line is a conduit to be pulled.",
        )


def _has_sleeve(yard: Yard, run: Run) -> bool:
    return any(part.role == SLEEVE for one in yard.on(f"run:{run.id}") for part in yard.parts(one))


def gas_and_power(yard: Yard) -> Iterator[Finding]:
    """A gas line that crosses a power line, or lies within a foot of one."""
    system = yard.basis.firm.system
    for near in near_each_other(yard.job, RunKind.GAS, RunKind.CONDUIT, APART):
        gas, power = near.run.title or "The gas line", near.other.title or "the power line"
        apart = format_length(near.apart, system)
        yield Finding(
            rule="gas-and-power",
            severity=Severity.NOTE,
            where=f"run:{near.run.id}",
            what=f"{gas} crosses {power}." if near.at else f"{gas} lies {apart} beside {power}.",
            measured=f"crosses {power}" if near.at else f"{apart} from {power}",
            limit=f"{format_length(APART, system)} apart",
            source=SOURCE,
            remedy="Keep them apart in plan or in depth. Both trades see this crossing before the trench is closed.",
        )


BURIED: tuple[Callable[[Yard], Iterator[Finding]], ...] = (sleeve_wanted, gas_and_power)
