"""A job as what may be in or out: zones with their ways, options with what they hold; and what the client asked for.

A zone that an option holds goes with that option. A way that is offered as an option is one of the ways of its zone.
"""

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from functools import cached_property
from uuid import UUID

from app.domain.job import Alternative, Edge, Feature, Job, Option, PlaceKind, Run
from app.domain.job.choosing import ChosenSet, with_set

OUT = -1  # the place of a thing that is out among its ways


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """One thing that may be in or out. `ways` are alternatives of a zone, or (None,) where there is nothing to choose.

    `now` is the place among the ways of the one it is done by now; `rests_on` are the units without which it is not.
    """

    id: UUID
    is_option: bool
    title: str
    letter: str
    ways: tuple[UUID | None, ...]
    way_titles: tuple[str, ...]
    now: int
    rests_on: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What the client asked for: met while all of its units are in. A must counts before all that is nice to have."""

    words: str
    must: bool
    weight: int
    units: tuple[int, ...]


Picks = tuple[int, ...]  # of each unit the place of its way, or OUT


class Units:
    """The units and wishes of one job, looked up once."""

    def __init__(self, job: Job) -> None:
        self.job = job
        declined = {one.id for one in job.options if one.initials and not one.taken}
        self.options = [one for one in job.options if one.thing_ids and one.id not in declined]
        held = {thing: option.id for option in job.options for thing in option.thing_ids}
        self.zones = [zone for zone in job.zones if zone.id not in held]
        ids = [*(zone.id for zone in self.zones), *(option.id for option in self.options)]
        self.place: Mapping[UUID, int] = {one: at for at, one in enumerate(ids)}
        self._held = held
        self.of_zone: Mapping[UUID, int | None] = {
            zone.id: self.place.get(held.get(zone.id, zone.id)) for zone in job.zones
        }

    @cached_property
    def all(self) -> tuple[Unit, ...]:
        """Every unit: zones in their order, then options in theirs."""
        zones = [self._zone(at) for at in range(len(self.zones))]
        return (*zones, *(self._option(option) for option in self.options))

    def _zone(self, at: int) -> Unit:
        zone = self.zones[at]
        ways = [one for one in self.job.alternatives if one.zone_id == zone.id]
        ticked = next((o.way_id for o in self.job.options if o.taken and o.way_id in {w.id for w in ways}), None)
        chosen = self.job.chosen(zone)
        now = ticked or (chosen.id if chosen else None)
        ids: tuple[UUID | None, ...] = tuple(one.id for one in ways) or (None,)
        return Unit(
            id=zone.id,
            is_option=False,
            title=zone.title,
            letter=zone.letter,
            ways=ids,
            way_titles=tuple(one.title for one in ways) or ("",),
            now=ids.index(now) if now in ids else 0,
        )

    def _option(self, option: Option) -> Unit:
        lines: tuple[Run | Feature, ...] = (*self.job.runs, *self.job.features)
        things = [one for one in lines if one.id in option.thing_ids]
        below = {self.of_zone.get(one.zone_id) for one in things if one.zone_id}
        own = self.place[option.id]
        return Unit(
            id=option.id,
            is_option=True,
            title=option.title or ", ".join(one.title for one in things) or _zones_of(self.job, option),
            letter="",
            ways=(None,),
            way_titles=("",),
            now=0,
            rests_on=tuple(sorted(at for at in below if at is not None and at != own)),
        )

    @cached_property
    def wishes(self) -> tuple[Wish, ...]:
        """What was asked for that zones and options meet, in order; a declined option meets nothing."""
        found = []
        for need in self.job.needs:
            places = [self.of_zone.get(one) for one in need.zone_ids]
            places += [self.place.get(one) for one in need.option_ids]
            known = {at for at in places if at is not None}
            if known and len(known) == len(set(places)):
                units = tuple(sorted(known))
                found.append(Wish(words=need.words, must=need.must, weight=need.weight, units=units))
        return tuple(found)

    @cached_property
    def picks_now(self) -> Picks:
        """The set the job has now."""
        ticked = {one.id for one in self.job.options if one.taken}
        out = {zone.id for zone in self.job.zones if zone.left_out}
        return tuple(
            unit.now if (unit.id in ticked if unit.is_option else unit.id not in out) else OUT for unit in self.all
        )

    def worth(self, picks: Sequence[int]) -> int:
        """How good a set is for the client, as one whole number: musts, then wishes by weight, then things, then ways.

        Wishes count by the sum of their weights; every thing that is in counts alike; last, zones done as now.
        """
        return sum(part * scale for part, scale in zip(self.parts(picks), self.scales, strict=True))

    def parts(self, picks: Sequence[int]) -> tuple[int, int, int, int]:
        """Musts met, weights of wishes met, things in, zones done as now."""
        met = [wish for wish in self.wishes if all(picks[at] != OUT for at in wish.units)]
        return (
            sum(1 for wish in met if wish.must),
            sum(wish.weight for wish in met if not wish.must),
            sum(1 for pick in picks if pick != OUT),
            sum(1 for pick, unit in zip(picks, self.all, strict=True) if pick == unit.now and not unit.is_option),
        )

    @cached_property
    def scales(self) -> tuple[int, int, int, int]:
        """What one of each counts: more than all that comes after it together."""
        units = len(self.all) + 1
        nice = sum(wish.weight for wish in self.wishes if not wish.must) + 1
        return (units * units * nice, units * units, units, 1)

    def stands(self, picks: Sequence[int]) -> bool:
        """Whether everything that is in rests on what is in."""
        return all(
            picks[below] != OUT
            for pick, unit in zip(picks, self.all, strict=True)
            if pick != OUT
            for below in unit.rests_on
        )

    def set_of(self, picks: Sequence[int]) -> ChosenSet:
        """A set as the job holds it: what is left out, ticked, and done which way."""
        offered = {one.way_id: one.id for one in self.job.options if one.way_id}
        out, ways = set(), {}
        options = {one.id for one in self.job.options if one.taken and one.id not in self._free_options}
        for pick, unit in zip(picks, self.all, strict=True):
            if unit.is_option and pick != OUT:
                options.add(unit.id)
            elif pick == OUT and not unit.is_option:
                out.add(unit.id)
            elif not unit.is_option and (way := unit.ways[pick]):
                if way in offered:
                    options.add(offered[way])
                else:
                    ways[unit.id] = way
        return ChosenSet(left_out=out, options=options, ways=ways)

    @cached_property
    def _free_options(self) -> AbstractSet[UUID]:
        """The options that a set decides: those that are units, and the ways of zones that are."""
        ways = {way for unit in self.all if not unit.is_option for way in unit.ways}
        return {one.id for one in self.options} | {one.id for one in self.job.options if one.way_id in ways}

    def job_of(self, picks: Sequence[int]) -> Job:
        """The job with a set, ready to be estimated."""
        return with_set(self.job, self.set_of(picks))

    def unit_of_work(self) -> Mapping[str, int | None]:
        """By work id as text: the unit it goes with; None for the whole job."""
        job = self.job
        things: tuple[Alternative | Run | Feature | Edge, ...] = (
            *job.alternatives,
            *job.runs,
            *job.features,
            *job.edges,
        )
        of_place = {one.id: self._unit_of(one.id, one.zone_id) for one in things}
        return {
            str(work.id): of_place.get(work.place_id)
            for work in job.works
            if work.place not in (PlaceKind.JOB, PlaceKind.EXISTING) and work.place_id
        }

    def _unit_of(self, thing_id: UUID, zone_id: UUID | None) -> int | None:
        """The unit a thing goes with: the option that holds it, else its zone's."""
        held = self._held.get(thing_id)
        return self.place.get(held) if held else self.of_zone.get(zone_id) if zone_id else None


def _zones_of(job: Job, option: Option) -> str:
    return ", ".join(zone.title for zone in job.zones if zone.id in option.thing_ids) or "Option"
