"""The office's own hours in a job: design, selections, layout, supervision and the rest. None is left out unsaid."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping

from app.domain.basis import Assembly, Basis
from app.domain.costing.lines import Line
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Job, PlaceKind
from app.domain.keeping import BoundedByIdentity

OWN_HOURS = "own hours"  # the library's group of recipes
_WANTED: BoundedByIdentity[Mapping[str, Assembly], Mapping[str, Assembly]] = BoundedByIdentity(16)


def _of_own_hours(assemblies: Mapping[str, Assembly]) -> Mapping[str, Assembly]:
    """The recipes of that group; kept while the library stands."""
    kept = _WANTED.get(assemblies)
    if kept is None:
        kept = {key: one for key, one in assemblies.items() if one.group == OWN_HOURS}
        _WANTED.keep(assemblies, kept)
    return kept


def unsaid_own_hours(job: Job, basis: Basis, lines: Iterable[Line]) -> Iterator[Finding]:
    """Recipes of own hours that a job leaves out, or that come to no hours: each wants a reason.

    Asked once something is built; before that nothing is known of them. What a reminder asks for is left to it.
    """
    wanted = _of_own_hours(basis.assemblies)
    if not wanted:
        return
    reminded = {one.adds for one in basis.reminders.values()}
    placed = {
        str(work.id): work.assembly for work in job.works if work.place is PlaceKind.JOB and work.assembly in wanted
    }
    hours: dict[str, float] = defaultdict(float)
    for line in lines:
        if line.work_id in placed:
            hours[placed[line.work_id]] += line.hours
    for key, one in sorted(wanted.items()):
        left_out = key not in placed.values()
        if hours[key] <= 0 and not (left_out and key in reminded):
            how = "left out" if left_out else "no hours"
            yield Finding(
                rule="own-hours-open",
                severity=Severity.STOP,
                where="job",
                what=f"{one.title}: {how} in this job. Somebody does it unpaid.",
                measured=f"{one.title}, {how}",
                limit="some hours, or a reason",
                remedy="Put it back among the works of the whole job on the Estimate sheet, or say why it is free.",
                stop=Stop.MONEY,
            )
