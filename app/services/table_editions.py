"""Which edition of a printed table is used for a job on a day, and what the firm said of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from app.domain.adopted import Adopted, edition_on
from app.domain.errors import NotFound
from app.domain.moments import day_at
from app.domain.trades.calculation import Answer, Calculation
from app.domain.trades.registry import PRINTED, editions_of
from app.services import jobs, revisions
from app.services.office import Office
from app.services.revisions import PROPOSAL

PRICED = frozenset({"offered", "signed"})


@dataclass(frozen=True, slots=True, kw_only=True)
class GoingBy:
    """What the firm said of its editions, the day that counts, and whether that is the day a job was priced."""

    adopted: Sequence[Adopted]
    day: date
    priced: bool = False

    def of(self, table: str) -> Adopted | None:
        """What holds of a table, where the edition is one that is known here."""
        found = edition_on(self.adopted, table, self.day)
        return found if found and found.edition in dict(editions_of(table)) else None

    def defaults(self, one: Calculation) -> Mapping[str, str]:
        """The edition each such input begins with, by name."""
        told = ((each.name, self.of(each.table)) for each in one.by_edition)
        return {name: adopted.edition for name, adopted in told if adopted}


@dataclass(frozen=True, slots=True, kw_only=True)
class EditionUsed:
    """The edition an answer goes by, what the firm uses on the day (empty: not said), since when and by whose word."""

    table: str
    edition: str
    firms: str
    since: date | None
    words: str
    day: date
    priced: bool

    @property
    def agrees(self) -> bool:
        """Whether the answer goes by what the firm uses."""
        return self.edition == self.firms


def printed_tables() -> Sequence[tuple[str, Sequence[tuple[str, str]]]]:
    """The tables of which an edition may be chosen, in words, with their editions as “TABLE/EDITION” and words."""
    return [
        (title, [(f"{table}/{key}", words) for key, words in editions_of(table)]) for table, title in PRINTED.items()
    ]


def going_by(office: Office, job_id: UUID | None = None) -> GoingBy:
    """What counts today, or for a job on the day its proposal was printed; until then (or once it is gone) today."""
    today = revisions.today_at(office, office.firm().time_zone)
    try:
        opened = jobs.open_job(office, job_id) if job_id else None
    except NotFound:
        opened = None
    if opened is None or job_id is None:
        return GoingBy(adopted=office.firm().editions, day=today)
    zone, told = opened.job.head.time_zone, opened.basis.firm.editions
    papers = [one for one in revisions.of_job(office, job_id) if one.kind == PROPOSAL and one.state in PRICED]
    if not papers:
        return GoingBy(adopted=told, day=revisions.today_at(office, zone))
    return GoingBy(adopted=told, day=day_at(max(one.issued_at for one in papers), zone), priced=True)


def editions_used(answer: Answer, by: GoingBy) -> tuple[EditionUsed, ...]:
    """The editions an answer goes by, each beside what the firm uses."""
    found = []
    for each in answer.calculation.by_edition:
        known, firms = dict(each.choices), by.of(each.table)
        found.append(
            EditionUsed(
                table=PRINTED[each.table],
                edition=known[str(answer.values[each.name])],
                firms=known[firms.edition] if firms else "",
                since=firms.since if firms else None,
                words=firms.words if firms else "",
                day=by.day,
                priced=by.priced,
            )
        )
    return tuple(found)
