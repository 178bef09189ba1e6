"""What of a job gas comes from and what burns it: places, heat by the numbers set on each, the line each hangs on.

The licensed gas fitter designs and tests every line; what is told here is for the budget and the open points.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from uuid import UUID

import shapely

from app.domain.basis import Assembly, Basis
from app.domain.job import Fate, Feature, Job, PlaceKind, RunKind, Work
from app.domain.keeping import KeptByInputs
from app.domain.plan.open_lines import fine_points
from app.domain.plan.outline import chords
from app.domain.takeoff.cautions import caution_keys
from app.domain.takeoff.drawn import Shape
from app.domain.takeoff.gas_system import REACH, Burner, Carried, carried_by
from app.domain.takeoff.measures import run_length
from app.domain.units import format_number

BOTTLE = "gas-bottle"
RUN = "gas-run"
GAS = "gas"  # the caution of what burns gas, and the utility
HEAT, LONGEST = "gas_heat", "gas_longest"  # measures of a gas line
MEASURES = frozenset({HEAT, LONGEST})
WITHIN = "gas-supply"  # the rule that says how near a line is to what it feeds
Numbers = Callable[[Work], Mapping[str, float] | None]  # the parameters of a work [canonical units]


@dataclass(frozen=True, slots=True)
class OnLine:
    """What a gas line goes by, as measures of its place, and where they come from in words."""

    carried: Carried

    @property
    def measures(self) -> Mapping[str, float]:
        """The longest length [ft] and the heat [Btu/h] that is known of what hangs on the line."""
        return {HEAT: self.carried.heat, LONGEST: self.carried.longest}

    @property
    def sources(self) -> Mapping[str, str]:
        """The same by name, in words."""
        return {HEAT: named(self.carried), LONGEST: "from the plan, where the gas comes in to the farthest end"}


def named(carried: Carried) -> str:
    """What hangs on a line, each with its heat.

    >>> grill = Burner(key=UUID(int=1), title="Grill", at=(0, 0), half=0, heat=60_000)
    >>> named(Carried(40.0, (grill, Burner(key=UUID(int=2), title="Fire", at=(0, 9), half=0, heat=None))))
    'Grill 60,000 Btu/h from the plan; not known yet: Fire'
    >>> named(Carried(40.0))
    'nothing that burns gas stands at this line or beyond it'
    """
    known = ", ".join(f"{one.title} {format_number(one.heat, 0)}" for one in carried.burners if one.heat is not None)
    unknown = ", ".join(one.title for one in carried.unknown)
    if not carried.burners:
        return "nothing that burns gas stands at this line or beyond it"
    told = [f"{known} Btu/h from the plan" if known else "", f"not known yet: {unknown}" if unknown else ""]
    return "; ".join(one for one in told if one)


def asks_of_gas(recipe: Assembly) -> bool:
    """Whether a recipe as it is shipped goes by what the plan says of gas, also where other numbers are set."""
    return any(name in one.value for one in recipe.parameters.values() for name in MEASURES)


def is_burner(work: Work, basis: Basis) -> bool:
    """Whether a work sets something that burns gas at a point."""
    recipe = basis.assemblies.get(work.assembly)
    fits = recipe is not None and work.place is PlaceKind.FEATURE and recipe.key != BOTTLE
    return fits and recipe is not None and GAS in caution_keys(recipe, basis)


def burners_of(job: Job, basis: Basis, numbers: Numbers) -> tuple[Burner, ...]:
    """What burns gas and has a place, in the order of the works. A heat of 0 is one that nobody said."""
    features = {one.id: one for one in job.features}
    found = ((work, features.get(work.place_id)) for work in job.works if work.place_id and is_burner(work, basis))
    return tuple(
        _burner(thing, work, basis, numbers(work) or {})
        for work, thing in found
        if thing is not None and thing.x is not None and thing.y is not None
    )


def _burner(thing: Feature, work: Work, basis: Basis, own: Mapping[str, float]) -> Burner:
    each = own.get("heat", 0.0)
    return Burner(
        key=thing.id,
        title=thing.title or work.title or basis.assemblies[work.assembly].title,
        at=(thing.x or 0.0, thing.y or 0.0),
        half=own["inside"] / 2 + own.get("wall", 0.0) if "inside" in own else max(_sides(own), default=0.0) / 2,
        heat=each * thing.count if each > 0 else None,
    )


def _sides(own: Mapping[str, float]) -> Iterator[float]:
    return (own[name] for name in ("long", "wide", "side") if name in own)


_CARRIED: KeptByInputs[Mapping[UUID, Carried]] = KeptByInputs(64)


def carried_of(job: Job, basis: Basis, numbers: Numbers) -> Mapping[UUID, Carried]:
    """What every drawn gas line of a job goes by; kept while nothing of gas is edited."""
    runs = tuple(run for run in job.runs if run.kind is RunKind.GAS)
    burners, bottles = burners_of(job, basis, numbers), bottles_of(job)
    rule = basis.rules.get(WITHIN)
    reach = rule.value if rule and rule.value > 0 else REACH
    rests_on = (runs, job.site.house, job.existing, burners, bottles, reach)

    def made() -> Mapping[UUID, Carried]:
        places = [shapely.points(one) for one in bottles]
        return carried_by(runs, gas_comes_from(job), burners, bottles=places, reach=reach)

    return _CARRIED.get_or_make(job.head.id, rests_on, made)


def on_line(job: Job, work: Work, carried: Mapping[UUID, Carried]) -> OnLine | None:
    """What the line of a work goes by; by its own length alone where it is not drawn. None: no line, or no length."""
    run = next((one for one in job.runs if one.id == work.place_id), None)
    own = run_length(run) if run else None
    if run is None or own is None:
        return None
    found = carried.get(run.id, Carried(own))
    return OnLine(Carried(max(own, found.longest), found.burners))


def bottles_of(job: Job) -> tuple[tuple[float, float], ...]:
    """Where the gas bottles of a job stand."""
    places = {one.id: (one.x, one.y) for one in job.features if one.x is not None and one.y is not None}
    found = (places.get(work.place_id) for work in job.works if work.assembly == BOTTLE and work.place_id)
    return tuple((x, y) for x, y in (one for one in found if one) if x is not None and y is not None)


def gas_comes_from(job: Job) -> Shape:
    """The shape of everything gas may come from: lines that are there, bottles, the house."""
    there = [one for one in job.existing if one.utility == GAS and one.fate is not Fate.GOES and len(one.points) > 1]
    shapes = [shapely.linestrings(fine_points(one.points, one.rises)) for one in there]
    shapes += [shapely.points(one) for one in bottles_of(job)]
    shapes += [chords(job.site.house).polygon] if job.site.house is not None else []
    return shapely.union_all(shapes)
