"""What is put off once work is laid: planting out of its weeks, and inspections of which nobody wrote down a result.

An inspection that was planned for a day that has passed was either not held or not written down. Nothing may cover it,
and no inspector comes the day he is called: it is put off to the next working day after today, with all that stands on
it, and says since when it is overdue. One that stands on another overdue one is not overdue itself: it could not be.
"""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from app.domain.job import Job, Stage
from app.domain.schedule.activities import Planned
from app.domain.schedule.axis import SAME, Dated
from app.domain.schedule.crews import Placed
from app.domain.schedule.inspections import Inspected, Standing
from app.domain.schedule.network import Network

SEASON_PASSES = 4  # a season is looked for so often at most: what is put off moves what follows
Season = Callable[[Planned, date], date | None]


@dataclass(slots=True)
class PutOff:
    """The first moments of what is put off, by activity; found pass by pass as work is laid anew."""

    plan: tuple[Planned, ...]
    axis: Dated
    today: date
    season: Season | None
    done: Collection[str]  # phases (ids) that lie behind: of them nothing is waited for
    until: dict[str, float] = field(default_factory=dict)
    looked: int = 0
    overdue: dict[str, date] = field(default_factory=dict)  # by activity: the day it was planned for

    @classmethod
    def of(cls, job: Job, plan: tuple[Planned, ...], axis: Dated, today: date, season: Season | None) -> "PutOff":
        """What is put off before anything is laid: inspections that failed or were not held come again."""
        found = cls(plan=plan, axis=axis, today=today, season=season, done=_behind_us(job, today))
        for one, seen in found._waited_for():
            if seen.day is not None:
                failed = seen.standing is Standing.NOT_PASSED
                again = (max(seen.day, today) if failed else seen.day) + timedelta(days=1)
                found.until[one.activity.key] = axis.morning_of(again)
        return found

    def again(self, network: Network, placed: Placed) -> bool:
        """Put off what, as it is laid, falls out of its season or lies before today unseen; whether to lay it again."""
        self.looked += 1
        late = self._unseen(network, placed)
        return (self._out_of_season(placed) and self.looked < SEASON_PASSES) or late

    def _waited_for(self) -> Iterable[tuple[Planned, Inspected]]:
        for one in self.plan:
            seen = one.inspected
            if seen is None or seen.standing is Standing.PASSED or one.phase in self.done:
                continue
            if seen.standing is Standing.NOT_PASSED or one.activity.days > SAME:  # 0 days as typed: none is asked for
                yield one, seen

    def _out_of_season(self, placed: Placed) -> bool:
        found = False
        for one in self.plan if self.season else ():
            start = self.axis.start_date(placed[one.activity.key][0])
            ready = self.season(one, start) if self.season else None
            if ready is not None and ready > start:
                self._wait(one.activity.key, ready)
                found = True
        return found

    def _unseen(self, network: Network, placed: Placed) -> bool:
        late = {
            one.activity.key: self.axis.finish_date(placed[one.activity.key][1])
            for one, _ in self._waited_for()
            if one.activity.key not in self.overdue
        }
        late = {key: day for key, day in late.items() if day < self.today}
        for key, day in late.items():
            if not _before(network, key) & (late.keys() - {key}):
                self.overdue[key] = day
                self._wait(key, self.today + timedelta(days=1))
        return bool(late)

    def _wait(self, key: str, day: date) -> None:
        self.until[key] = max(self.until.get(key, 0.0), self.axis.morning_of(day))


def _behind_us(job: Job, today: date) -> frozenset[str]:
    """Phases of which nothing is waited for any more.

    All of a yard that is handed over or closed; else those whose planned last day has passed and after which another
    phase has begun. A last day alone is a plan, and no word that anything was seen.
    """
    if job.handed_over or job.head.stage is Stage.DONE:
        return frozenset(("", *(str(phase.id) for phase in job.phases)))
    begun = max((phase.number for phase in job.phases if phase.start and phase.start <= today), default=0)
    over = (phase for phase in job.phases if phase.done and phase.done < today and phase.number < begun)
    return frozenset(str(phase.id) for phase in over)


def _before(network: Network, key: str) -> set[str]:
    """All that an activity waits for, however far back."""
    found: set[str] = set()
    ahead = [key]
    while ahead:
        for link in network.wait[ahead.pop()]:
            if link.before not in found:
                found.add(link.before)
                ahead.append(link.before)
    return found


def overdue_of(plan: Iterable[Planned], overdue: Mapping[str, date]) -> Mapping[str, date]:
    """The days for which overdue inspections were planned, by the key of the inspection."""
    return {
        one.inspected.key: overdue[one.activity.key] for one in plan if one.inspected and one.activity.key in overdue
    }
