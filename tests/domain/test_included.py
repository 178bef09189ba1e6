"""What is left out, and what nobody ticked, is neither priced nor built; what hangs on it goes with it."""

from dataclasses import replace
from uuid import UUID

from hypothesis import given
from hypothesis import strategies as st

from app.domain.costing.estimate import estimate
from app.domain.job import (
    Allowance,
    Alternative,
    Edge,
    EdgeChoice,
    Feature,
    Job,
    Option,
    PlaceKind,
    Run,
    Work,
    only_included,
    outlines_by_key,
    ways_by_key,
    zone_keys,
    zones_by_key,
)
from bench.estimate import basis, job
from tests.strategies import jobs

ON = basis()
YARD = job(4)


def key(number: int) -> UUID:
    return UUID(int=7 * 10**6 + number)


def zone(number: int) -> UUID:
    return YARD.zones[number].id


def with_zone(number: int, **fields: object) -> Job:
    zones = tuple(replace(one, **fields) if at == number else one for at, one in enumerate(YARD.zones))
    return replace(YARD, zones=zones)


def furnished() -> Job:
    """The yard with one of each thing that hangs on the first zone, and an edge of the second that runs along it."""
    first, second = zone(0), zone(1)
    things = {
        "runs": (Run(id=key(1), zone_id=first, length=30.0),),
        "features": (Feature(id=key(2), zone_id=first),),
        "edges": (
            Edge(id=key(3), zone_id=first, neighbor="ground", choice=EdgeChoice.BUILT, length=9.0),
            Edge(id=key(4), zone_id=second, neighbor=str(first), choice=EdgeChoice.BUILT, length=9.0),
            Edge(id=key(5), zone_id=second, neighbor="ground", choice=EdgeChoice.BUILT, length=9.0),
        ),
        "allowances": (Allowance(id=key(6), title="Stone", cents=90_000, zone_id=first),),
    }
    places = [(PlaceKind.RUN, key(1)), (PlaceKind.FEATURE, key(2)), *((PlaceKind.EDGE, key(n)) for n in (3, 4, 5))]
    works = [Work(id=key(10 + at), place=kind, place_id=one, assembly="x") for at, (kind, one) in enumerate(places)]
    works.append(Work(id=key(20), place=PlaceKind.JOB, assembly="x"))
    return replace(YARD, **things, works=(*YARD.works, *works))


def test_with_nothing_out_it_is_the_very_same_job() -> None:
    assert only_included(YARD) is YARD
    ticked = replace(YARD, options=(Option(id=key(1), thing_ids=(zone(0),), taken=True),))
    assert only_included(ticked) is ticked


def test_with_a_zone_goes_all_that_hangs_on_it() -> None:
    yard = furnished()
    out = only_included(replace(yard, zones=(replace(yard.zones[0], left_out=True), *yard.zones[1:])))
    assert [one.id for one in out.zones] == [zone(1), zone(2), zone(3)]
    assert not {one.zone_id for one in out.alternatives} & {zone(0)}
    assert (out.runs, out.features, out.allowances) == ((), (), ())
    assert [one.id for one in out.edges] == [key(5)], "an edge along a zone that is not built is none"
    assert {one.place_id for one in out.works if one.place is PlaceKind.EDGE} == {key(5)}
    assert any(one.place is PlaceKind.JOB for one in out.works)


def test_a_zone_left_out_costs_what_a_yard_without_it_costs() -> None:
    without = replace(
        YARD,
        zones=YARD.zones[1:],
        alternatives=YARD.alternatives[1:],
        works=YARD.works[1:],
    )
    assert estimate(with_zone(0, left_out=True), ON).price_cents == estimate(without, ON).price_cents


def test_an_option_nobody_ticked_is_out_and_a_ticked_one_is_in() -> None:
    option = Option(id=key(1), thing_ids=(zone(0), zone(2)))
    out, taken = replace(YARD, options=(option,)), replace(YARD, options=(replace(option, taken=True),))
    assert [one.id for one in only_included(out).zones] == [zone(1), zone(3)]
    assert estimate(taken, ON).price_cents == estimate(YARD, ON).price_cents > estimate(out, ON).price_cents


def test_a_ticked_way_is_how_its_zone_is_done_and_of_two_the_first() -> None:
    ways = tuple(Alternative(id=key(n), zone_id=zone(0), outline=YARD.alternatives[0].outline) for n in (30, 31))
    yard = replace(YARD, alternatives=(*YARD.alternatives, *ways))
    options = tuple(Option(id=key(40 + n), way_id=way.id) for n, way in enumerate(ways))
    assert only_included(replace(yard, options=options)).zones == YARD.zones
    both = tuple(replace(one, taken=True) for one in options)
    assert only_included(replace(yard, options=both)).zones[0].chosen_id == ways[0].id
    assert only_included(replace(yard, options=both[1:])).zones[0].chosen_id == ways[1].id


@given(jobs(), st.data())
def test_what_is_included_is_included_again_whatever_the_job(job: Job, data: st.DataObject) -> None:
    """Taking out twice takes out no more; works stand only on what is there."""
    held = [one.id for one in (*job.zones, *job.runs, *job.features)]
    options = tuple(
        replace(one, thing_ids=tuple(data.draw(st.lists(st.sampled_from(held), max_size=2)))) if held else one
        for one in job.options
    )
    once = only_included(replace(job, options=options))
    assert only_included(once) == once
    out = {one.id for one in job.zones} - {one.id for one in once.zones}
    for things in (once.alternatives, once.runs, once.features, once.edges, once.allowances):
        assert not {one.zone_id for one in things} & out
    assert not any(one.left_out for one in once.zones)


def test_zones_are_found_by_their_ids_as_text_as_they_stand_now() -> None:
    """Kept while the zones are the very same: one more, and one that is called otherwise, are seen."""
    assert zone_keys(YARD.zones) == tuple(str(one.id) for one in YARD.zones)
    renamed = with_zone(1, title="Terrace")
    assert zones_by_key(renamed.zones)[str(zone(1))].title == "Terrace" != YARD.zones[1].title
    assert zones_by_key(YARD.zones) == {str(one.id): one for one in YARD.zones}
    assert zone_keys(renamed.zones[:2]) == zone_keys(YARD.zones)[:2]


def test_ways_and_outlines_by_key_follow_the_way_that_is_chosen() -> None:
    """Kept while zones and ways are the very same: another outline, and a zone without one, are seen."""
    assert outlines_by_key(YARD) == {str(key): one.outline for key, one in YARD.chosen_by_zone().items()}
    first, *others = YARD.alternatives
    moved = replace(YARD, alternatives=(replace(first, outline=None), *others))
    assert str(first.zone_id) not in ways_by_key(moved)
    assert len(outlines_by_key(moved)) == len(outlines_by_key(YARD)) - 1
    assert outlines_by_key(YARD) is not outlines_by_key(YARD)  # a new one: whoever asks may add to it
