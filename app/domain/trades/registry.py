"""What the trades offer: one registry that serves the quick math sheet, the command line and the formulas."""

from collections.abc import Mapping
from difflib import get_close_matches
from itertools import chain

from app.domain.errors import NotFound
from app.domain.trades.calculation import Calculation
from app.domain.trades.offered import (
    concrete_and_masonry,
    earth,
    gas_lines,
    kitchen_and_fire,
    low_voltage,
    moving_water,
    planting_and_sun,
    rain_and_drains,
    retaining,
    roofs_and_soaking,
    selling,
    slopes_and_steps,
    stone_and_loads,
    watering,
)

_OFFERED = (
    stone_and_loads,
    concrete_and_masonry,
    slopes_and_steps,
    retaining,
    rain_and_drains,
    roofs_and_soaking,
    earth,
    moving_water,
    low_voltage,
    gas_lines,
    kitchen_and_fire,
    watering,
    planting_and_sun,
    selling,
)
CALCULATIONS: Mapping[str, Calculation] = {one.key: one for one in chain(*(of.CALCULATIONS for of in _OFFERED))}


PRINTED: Mapping[str, str] = {  # printed tables of which there is more than one edition, as settings name them
    "gas-pipe": "Gas pipe by its longest length",
    "storm-drain": "Storm drains of the plumbing code",
    "leader": "Leaders: how far they are filled",
}


def editions_of(table: str) -> tuple[tuple[str, str], ...]:
    """The editions of a printed table there are: key and words; none for a table that no calculation goes by."""
    every = (one for each in CALCULATIONS.values() for one in each.by_edition)
    return next((one.choices for one in every if one.table == table), ())


def calculation(key: str) -> Calculation:
    """A calculation by its key. Raises: NotFound with the nearest known one."""
    found = CALCULATIONS.get(key)
    if found is None:
        close = get_close_matches(key, CALCULATIONS)
        nearest = f" Did you mean “{close[0]}”?" if close else ""
        raise NotFound(f"There is no calculation “{key[:40]}”.{nearest}")
    return found


def found_by(search: str, *, money: bool = True) -> tuple[tuple[str, tuple[Calculation, ...]], ...]:
    """The calculations that hold all words of a search, by trade; without those of money where they are not shown.

    >>> [trade for trade, _ in found_by("riser")]
    ['Slopes and steps']
    """
    wanted = search.lower().split()
    fits = [one for one in CALCULATIONS.values() if (money or not one.money) and _holds(one, wanted)]
    trades = dict.fromkeys(one.trade for one in fits)
    return tuple((trade, tuple(one for one in fits if one.trade == trade)) for trade in trades)


def _holds(one: Calculation, wanted: list[str]) -> bool:
    told = f"{one.key} {one.title} {one.trade} {one.words} {one.search}".lower()
    return all(word in told for word in wanted)
