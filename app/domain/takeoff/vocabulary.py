"""What a formula may name, by the place an assembly is built on: one table for the checker and for the measures."""

from collections.abc import Mapping

from app.domain.job import PlaceKind
from app.domain.takeoff.kind import Kind, Special
from app.domain.takeoff.stretches import APPLIED, Applied
from app.domain.takeoff.tree import Scope
from app.domain.trades.functions import FUNCTIONS
from app.domain.units import AREA, LENGTH, RATIO

SHARED_KINDS = ("house", "lot", "ground", "zone", "wall")  # what an outline can meet
KINDS = (*SHARED_KINDS, "conduit", "pipe", "drain", "gas")  # and what can lie in the ground

# by the word an assembly's `measures` says
PLACE_MEASURES: Mapping[str, Mapping[str, Kind]] = {
    "zone": {
        "area": AREA,
        "outline": LENGTH,
        "fall": RATIO,
        "laid": Special.TRUTH,
        "laid_units": RATIO,
        "laid_cuts": RATIO,
        "laid_cut_length": LENGTH,
        "border_units": RATIO,
        "second_border_units": RATIO,
        "second_size_units": RATIO,
        "third_size_units": RATIO,
        "border_length": LENGTH,
    },
    "run": {
        "length": LENGTH,
        "height": LENGTH,
        "corners": RATIO,
        "ends": RATIO,
        "crossings": RATIO,
        "gas_longest": LENGTH,
        "gas_heat": RATIO,
    },
    "edge": {"length": LENGTH, "curved_length": LENGTH, "drop": LENGTH, "gap": LENGTH},
    "feature": {"count": RATIO, "area": AREA, "length": LENGTH, "thickness": LENGTH, "height": LENGTH},
    "existing": {
        "count": RATIO,
        "area": AREA,
        "outline": LENGTH,
        "length": LENGTH,
        "thickness": LENGTH,
        "height": LENGTH,
    },
    "job": {},
}
JOB_MEASURES: Mapping[str, Kind] = {
    "area_total": AREA,
    "lot_area": AREA,
    "crew_days": RATIO,
    "trips": RATIO,
    "haul_distance": LENGTH,
    "access_width": LENGTH,
    "soil_swell": RATIO,
}
PLACE_WORDS: Mapping[str, str] = {
    "zone": "a zone",
    "run": "a run",
    "edge": "a shared edge",
    "feature": "a feature",
    "existing": "an existing thing",
    "job": "the whole job",
}
PLACE_OF: Mapping[PlaceKind, str] = {
    PlaceKind.ALTERNATIVE: "zone",
    PlaceKind.RUN: "run",
    PlaceKind.EDGE: "edge",
    PlaceKind.FEATURE: "feature",
    PlaceKind.EXISTING: "existing",
    PlaceKind.JOB: "job",
}
# functions that the trades give to formulas on every place: what stands in their brackets, what they give
OF_TRADES = {name: (one.takes, one.gives) for name, one in FUNCTIONS.items()}
# functions of a kind, by place: `own_edge` is `shared` without what a decided edge holds
_ASKED_OF_KINDS: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "zone": {"shared": SHARED_KINDS, "own_edge": SHARED_KINDS},
    "run": {"under": KINDS},
}
# functions that the plan answers, by place
_OF_PLAN: Mapping[str, Applied] = {"run": {"needed_cover": ((RATIO,), LENGTH)}}


def scope_of(
    measures: str,
    parameters: Mapping[str, Kind],
    coverage: Mapping[str, Kind],
    roles: Mapping[str, Kind],
) -> Scope:
    """The scope of an assembly's formulas.

    `parameters` must hold the place's own measures too, `coverage` what one unit of each role covers, `roles` the
    dimension of each role's thickness.
    """
    asked: dict[str, Mapping[str, Kind]] = {"thickness_of": roles, "coverage_of": coverage}
    for function, kinds in _ASKED_OF_KINDS.get(measures, {}).items():
        asked[function] = dict.fromkeys(kinds, LENGTH)
    applied = {**APPLIED.get(measures, {}), **_OF_PLAN.get(measures, {}), **OF_TRADES}
    return Scope(names=parameters, asked=asked, applied=applied, elsewhere=_elsewhere(measures))


def measures_of(measures: str) -> Mapping[str, Kind]:
    """Every plain measure that an assembly on such a place may name, the job's included."""
    return {**JOB_MEASURES, **PLACE_MEASURES[measures]}


def _elsewhere(measures: str) -> Mapping[str, str]:
    """Names that only other places have, with the words for those places."""
    found: dict[str, list[str]] = {}
    own = {**APPLIED.get(measures, {}), **_OF_PLAN.get(measures, {})}
    for place, names in PLACE_MEASURES.items():
        also = (*_ASKED_OF_KINDS.get(place, {}), *APPLIED.get(place, {}), *_OF_PLAN.get(place, {}))
        for name in (*names, *also) if place != measures else ():
            if name not in own:
                found.setdefault(name, []).append(PLACE_WORDS[place])
    return {name: " or ".join(words) for name, words in found.items() if name}
