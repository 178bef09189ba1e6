"""“Ready to sign?”: what stops, what warns, what was settled by whom."""

from collections.abc import Iterable
from dataclasses import dataclass

from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Job, Settlement
from app.domain.keeping import KeptByInputs

NO_WAY_ROUND = frozenset({"payments-add-up"})  # of money, without which there is no contract
TO_SETTLE = frozenset({Severity.STOP, Severity.WARN, Severity.NOT_CHECKED})


@dataclass(frozen=True, slots=True)
class Settled:
    """A finding somebody decided to go on with."""

    finding: Finding
    settlement: Settlement


@dataclass(frozen=True, slots=True)
class Readiness:
    """The open points of a job, sorted by what they ask of us."""

    law: tuple[Finding, ...] = ()
    money: tuple[Finding, ...] = ()
    region: tuple[Finding, ...] = ()
    stops: tuple[Finding, ...] = ()  # stops of another hour: they stop the crew, not the signing
    warns: tuple[Finding, ...] = ()
    notes: tuple[Finding, ...] = ()
    not_checked: tuple[Finding, ...] = ()
    settled: tuple[Settled, ...] = ()

    @property
    def open(self) -> tuple[Finding, ...]:
        """Everything that is not settled, the loudest first."""
        return (*self.to_settle, *self.notes)

    @property
    def signing_stops(self) -> tuple[Finding, ...]:
        """What keeps the job from being signed."""
        return (*self.law, *self.money, *self.region)

    @property
    def ready(self) -> bool:
        """Whether nothing stops the signing."""
        return not self.signing_stops

    @property
    def to_settle(self) -> tuple[Finding, ...]:
        """What is still open: all but notes."""
        return (*self.signing_stops, *self.stops, *self.warns, *self.not_checked)

    @property
    def open_count(self) -> int:
        """How many points are still to settle."""
        return len(self.to_settle)


def may_settle(finding: Finding) -> bool:
    """Whether somebody may go on in spite of a finding: never where law or safety stops, or nothing could be signed."""
    return finding.rule not in NO_WAY_ROUND and finding.stop is not Stop.LAW and finding.severity is not Severity.NOTE


def ready_to_sign(findings: Iterable[Finding], job: Job) -> Readiness:
    """Sort open points into what stops, warns, is noted, is not checked, and is settled.

    A settlement holds while its finding stays as it was: the finding's key names what it rests on. A settlement of a
    finding that has become a matter of law counts for nothing.
    """
    told = tuple(findings)
    return _READINESS.get_or_make(job.head.id, (told, job.settlements), lambda: _sorted(told, job))


_READINESS: KeptByInputs[Readiness] = KeptByInputs(64)


def _sorted(findings: Iterable[Finding], job: Job) -> Readiness:
    decided = {one.finding: one for one in sorted(job.settlements, key=lambda one: one.on)}
    still_open: list[Finding] = []
    settled: list[Settled] = []
    for one in findings:
        if one.key in decided and may_settle(one):
            settled.append(Settled(one, decided[one.key]))
        else:
            still_open.append(one)

    def of(severity: Severity, stop: Stop | None = None) -> tuple[Finding, ...]:
        return tuple(one for one in still_open if one.severity is severity and stop in {None, one.stop})

    return Readiness(
        law=of(Severity.STOP, Stop.LAW),
        money=of(Severity.STOP, Stop.MONEY),
        region=of(Severity.STOP, Stop.REGION),
        stops=of(Severity.STOP, Stop.NONE),
        warns=of(Severity.WARN),
        notes=of(Severity.NOTE),
        not_checked=of(Severity.NOT_CHECKED),
        settled=tuple(settled),
    )
