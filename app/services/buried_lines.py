"""Lines below paving as the plan's margin shows them: from the line, and from the zone above it."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.domain.checks.buried import SLEEVE, SLEEVED
from app.domain.crew.lines import gas_pipe, power_line
from app.domain.job import PlaceKind, Run, Work, Zone
from app.domain.takeoff.buried import runs_below, sleeved_stretches
from app.domain.takeoff.cover import CONDUIT
from app.domain.takeoff.gas_on_plan import RUN as GAS_RUN
from app.domain.takeoff.measures import zone_title
from app.domain.takeoff.requirements import working_of
from app.services.crew_lines import line_words
from app.services.sheets import Sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class BelowRow:
    """A line below a zone or the house: what names the other one, how long [ft], how many times it comes below it."""

    run: Run
    title: str
    length: float
    times: int
    over: str

    @property
    def measure(self) -> str:
        """Names its length among the measures of the plan."""
        return f"measure:run:{self.run.id}:below:{self.over}"


@dataclass(frozen=True, slots=True, kw_only=True)
class BelowNote:
    """What one line runs below, and what it is in the ground, as pairs of words.

    `offer` is the recipe of a sleeve that it wants; empty: it wants none.
    """

    rows: tuple[BelowRow, ...]
    line: tuple[tuple[str, str], ...]
    sleeved: bool
    offer: str


def below_of(view: Sheet, focus: str) -> BelowNote | None:
    """What the line in focus runs below."""
    run = next((one for one in view.job.runs if focus == f"run:{one.id}"), None)
    if run is None:
        return None
    zones = {str(zone.id): zone_title(zone) for zone in view.job.zones}
    own = [one for one in runs_below(view.job) if one.run.id == run.id]
    rows = [
        BelowRow(
            run=run,
            title=zones.get(one.over, "House"),
            length=one.length,
            times=len(one.stretches),
            over=one.over,
        )
        for one in own
    ]
    sleeved = _sleeved(view, run)
    wanted = run.kind in SLEEVED and run.id in sleeved_stretches(view.job) and not sleeved
    line = tuple(words for work in _works(view, run) for words in _line_words(view, work))
    return BelowNote(rows=tuple(rows), line=line, sleeved=sleeved, offer=_sleeve_recipe(view) if wanted else "")


def lines_under(view: Sheet, zone: Zone) -> tuple[BelowRow, ...]:
    """The lines below a zone."""
    return tuple(
        BelowRow(
            run=one.run,
            title=one.run.title or one.run.kind.value.capitalize(),
            length=one.length,
            times=len(one.stretches),
            over=one.over,
        )
        for one in runs_below(view.job)
        if one.over == str(zone.id)
    )


def _works(view: Sheet, run: Run) -> tuple[Work, ...]:
    return tuple(work for work in view.job.works if work.place is PlaceKind.RUN and work.place_id == run.id)


def _line_words(view: Sheet, work: Work) -> Iterator[tuple[str, str]]:
    """What a work's gas pipe is budgeted by, and how deep its power line is wanted."""
    built = working_of(view.job, view.basis, work) if work.assembly in (GAS_RUN, CONDUIT) else None
    if built:
        yield from line_words(gas_pipe(built), power_line(built), view.basis.firm.system)


def _sleeved(view: Sheet, run: Run) -> bool:
    recipes = (view.basis.assemblies.get(work.assembly) for work in _works(view, run))
    return any(part.role == SLEEVE for recipe in recipes if recipe for part in recipe.parts)


def _sleeve_recipe(view: Sheet) -> str:
    """The recipe that lays a sleeve by the length below paving; empty where the library has none."""
    recipes = sorted(view.basis.assemblies.values(), key=lambda one: one.key)
    for one in recipes:
        for part in one.parts:
            if one.measures == "run" and part.role == SLEEVE and "under(" in part.amount:
                return one.key
    return ""
