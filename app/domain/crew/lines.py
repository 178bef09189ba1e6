"""What the crew is told of a line in the ground beside its sizes: pipe and heat of gas, the cover that power wants."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.domain.takeoff.cover import CONDUIT, METHODS, method_of
from app.domain.takeoff.gas_on_plan import RUN as GAS_RUN
from app.domain.takeoff.gas_system import Carried
from app.domain.takeoff.requirements import Working
from app.domain.takeoff.working_out import Values
from app.domain.trades.gas import nominal

TRENCH = "trench-and-haul"


@dataclass(frozen=True, slots=True, kw_only=True)
class GasPipe:
    """A gas line as it is budgeted: pipe [in inside, nominal size or empty], heat [Btu/h], longest length [ft].

    `carried`: what hangs on it by the plan. `typed`: somebody set the heat. `trench` and `cover` [ft].
    """

    inside: float
    size: str
    propane: bool
    heat: float
    typed: bool
    carried: Carried
    longest: float
    trench: float
    cover: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerLine:
    """A power line as it is dug: how it is wired, its least cover with the place and the edition, lengths in ft.

    `place` is empty for the open yard, `edition` where no rule holds (below a building alone).
    """

    method: str
    needed: float
    kind: str
    place: str
    edition: str
    trench: float
    cover: float


def power_line(one: Working) -> PowerLine | None:
    """The power line of a work; None for another work, and for an edition that does not say its wiring."""
    own = numbers_of(one, CONDUIT) if one.cover is not None else {}
    trench = numbers_of(one, TRENCH).get("depth")
    if one.cover is None or trench is None or not {"wiring", "depth"} <= own.keys():
        return None
    needed = one.cover.needed(own["wiring"])
    return PowerLine(
        method=METHODS[method_of(own["wiring"])],
        needed=needed.cover,
        kind=needed.place.kind,
        place=needed.place.title,
        edition=needed.rule.edition if needed.rule else "",
        trench=trench,
        cover=own["depth"],
    )


def gas_pipe(one: Working) -> GasPipe | None:
    """The gas pipe of a work; None for another work, and for an edition that does not say all of it."""
    if one.work.assembly != GAS_RUN or one.gas is None:
        return None
    own = numbers_of(one, GAS_RUN)
    trench = numbers_of(one, TRENCH).get("depth")
    if trench is None or not {"inside", "heat", "longest", "depth", "propane"} <= own.keys():
        return None
    return GasPipe(
        inside=own["inside"],
        size=nominal(own["inside"]),
        propane=own["propane"] > 0,
        heat=own["heat"],
        typed="heat" in one.work.parameters,
        carried=one.gas.carried,
        longest=own["longest"],
        trench=trench,
        cover=own["depth"],
    )


def numbers_of(one: Working, recipe: str) -> Mapping[str, float]:
    """The numbers of a recipe within a work [canonical units], as far as they are known."""
    found: dict[str, Values] = {it.values.recipe: it.values for it in one.taken}
    values = found.get(recipe)
    return {name: values[name] for name in values.parameters if name in values} if values else {}
