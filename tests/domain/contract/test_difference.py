"""What differs from the contract: unchanged to the cent, changed at the signed basis, new at today's, taken out credited."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from app.domain.contract.difference import difference
from app.domain.contract.standing import standing_of
from app.domain.costing.client_prices import client_prices
from app.domain.costing.estimate import estimate
from app.domain.job import Allowance, Firmness, FoundCondition, Phase, PlaceKind, PriceShown, Work
from app.domain.plan.shapes import rectangle
from tests.domain.contract.small_yard import (
    BASIS,
    JOB,
    ROCK,
    TODAY,
    A,
    B,
    C,
    against,
    doubled,
    key,
    paved,
    signed,
    with_slate,
    with_way,
    without_zone,
)
from tests.domain.costing import three_zones
from tests.domain.costing.random_jobs import bases, jobs


# By hand (small_yard): A 100 sq ft 618.67, B 50 sq ft 309.33, together 696.00 ÷ 0.75 = 928.00
def test_the_signed_yard_is_priced_as_by_hand() -> None:
    standing = signed()
    assert standing.sum_cents == 928_00
    assert standing.works == {str(paved(A).id): 618_67, str(paved(B).id): 309_33}
    assert sum(standing.zones.values()) == 928_00
    assert sum(one.cents for one in standing.payments) == 928_00


def test_nothing_changed_is_no_difference_whatever_prices_do() -> None:
    found = against(signed(), JOB)
    assert (found.by, found.zones, found.whole_job, found.any) == (0, (), 0, False)


# B grows to 80 sq ft: 80 × 6.18 2/3 = 494.93; less its signed 309.33
def test_changed_work_is_priced_at_the_signed_basis_and_only_its_zone_is_named() -> None:
    found = against(signed(), with_way(JOB, B, 8, 10))
    [zone] = found.zones
    [item] = zone.items
    assert (zone.letter, zone.title) == ("B", "Path")
    assert (item.was_cents, item.will_cents, item.by) == (309_33, 494_93, 185_60)
    assert item.words == ("50 sq ft before, 80 sq ft now",)
    assert (found.by, found.after_cents) == (185_60, 1_113_60)


# 10 sq ft of slate at today's doubled 20.00 = 200.00, with signed overhead 20.00 and tax 12.00: 232.00 ÷ 0.75 = 309.33
def test_work_the_signed_basis_does_not_have_is_priced_today_with_its_date() -> None:
    [zone] = against(signed(), with_slate()).zones
    [item] = zone.items
    assert (item.happens, item.was_cents, item.by) == ("added", None, 309_33)
    assert item.todays == (("Slate", date(2027, 6, 1)),)


def test_work_taken_out_is_credited_at_its_signed_price() -> None:
    found = against(signed(), without_zone(JOB, A))
    [item] = found.items
    assert (item.happens, item.was_cents, item.will_cents, found.by) == ("removed", 618_67, None, -618_67)


def test_unpriced_new_work_is_said_and_never_free() -> None:
    none = replace(TODAY, prices={"brick": TODAY.prices["brick"]})
    found = difference(signed(), with_slate(), none)
    assert found.unpriced == ("Slate",)


def test_a_work_moved_to_another_zone_leaves_one_and_comes_to_the_other() -> None:
    moved = replace(JOB, works=(paved(A), replace(paved(B), place_id=key(A.int + 1))))
    found = against(signed(), moved)
    assert [(one.letter, [item.happens for item in one.items]) for one in found.zones] == [("A", ["added"]), ("B", ["removed"])]  # fmt: skip
    assert found.by == 618_66 - 309_33, "200 sq ft are 1,237.33: the odd cent is the other's"


def test_another_edition_of_a_recipe_is_another_design_at_signed_prices() -> None:
    old = replace(JOB, works=tuple(replace(one, assembly_hash="old") for one in JOB.works))
    new = replace(JOB, works=tuple(replace(one, assembly_hash="new") for one in JOB.works))
    thicker = replace(
        BASIS.assemblies["paved"], parts=(replace(BASIS.assemblies["paved"].parts[0], amount="area * 2"),)
    )
    today = replace(TODAY, assemblies={"paved": thicker})
    assert against(signed(old), new, today).by == 928_00
    assert against(signed(old), old, today).by == 0, "the library's edition is not taken by itself"


def test_a_price_typed_for_what_was_signed_without_one_moves_nothing() -> None:
    bare = replace(BASIS, prices={})
    standing = standing_of(JOB, bare, 0)
    assert difference(standing, JOB, BASIS).by == 0
    assert difference(standing, with_way(JOB, B, 8, 10), BASIS).unpriced == ("Brick",)


def test_allowance_that_changes_is_told_by_itself() -> None:
    bowl = Allowance(id=key(201), title="Fire bowl", cents=2_500_00, zone_id=A)
    standing = signed(replace(JOB, allowances=(bowl,)))
    [item] = against(standing, replace(JOB, allowances=(replace(bowl, cents=3_100_00),))).items
    assert (item.title, item.happens, item.was_cents, item.will_cents) == ("Fire bowl", "changed", 2_500_00, 3_100_00)
    [gone] = against(standing, JOB).items
    assert (gone.happens, gone.by) == ("removed", -2_500_00)


def test_a_phase_that_was_a_range_comes_in_once_it_is_firm() -> None:
    later = replace(JOB, phases=(*JOB.phases, Phase(id=key(52), number=2, firmness=Firmness.RANGE)))
    later = replace(later, zones=(later.zones[0], replace(later.zones[1], phase_id=key(52))))
    standing = signed(later)
    assert standing.sum_cents == 618_67
    firm = replace(later, phases=(later.phases[0], replace(later.phases[1], firmness=Firmness.FIRM)))
    [item] = against(standing, firm).items
    assert (item.happens, item.by) == ("added", 309_33)


def test_days_moved_and_terms_of_today_change_nothing() -> None:
    head = replace(JOB.head, own_margin=Decimal("0.40"), adjustment_cents=5_000_00, tax_rate=Decimal("0.20"))
    site = replace(JOB.site, soil="rock", slope=0.3, access_width=1.0)
    phases = (replace(JOB.phases[0], start=date(2027, 12, 6), done=date(2028, 2, 1)),)
    assert against(signed(), replace(JOB, head=head, site=site, phases=phases)).by == 0


# What was found: 2.5 cubic yards at the agreed 145.01 = 362.525, halves up
def test_hidden_conditions_are_at_the_agreed_unit_price_else_at_todays_marked() -> None:
    rock = FoundCondition(id=key(501), quantity=Decimal("2.5"), agreed=str(ROCK), zone=str(B))
    stump = FoundCondition(
        id=key(502), title="Buried stump", quantity=Decimal(1), unit="each", cents=280_00, position=1
    )
    dearer = replace(JOB, unit_prices=(replace(JOB.unit_prices[0], cents=999_00),))
    found = against(signed(), replace(dearer, found_conditions=(rock, stump)))
    told = [(zone.letter, row.title, row.unit, row.agreed, row.by) for zone in found.zones for row in zone.found]
    assert told == [("B", "Rock", "cubic yard", True, 362_53), ("", "Buried stump", "each", False, 280_00)]
    assert found.by == 642_53
    unsaid = replace(JOB, found_conditions=(replace(stump, cents=None),))
    assert against(signed(), unsaid).unpriced == ("Buried stump",)


# three_zones: the bed of the second phase fills a day that is paid already, so its 60 sq ft more cost the job as a
# whole 106.81 less: told beside it, and taken in only where the owner says so
def test_what_the_job_as_a_whole_moves_by_is_told_and_taken_in_only_when_asked() -> None:
    job, basis = three_zones.JOB, three_zones.BASIS
    ways = (*job.alternatives[:2], three_zones.outline(three_zones.BED, 10, 18, 200))
    standing, now = signed(job, basis), replace(job, alternatives=ways)
    found = difference(standing, now, doubled(basis))
    assert (found.by, found.whole_job) == (106_81, -106_81)
    [zone] = difference(standing, now, doubled(basis), with_whole=True).zones
    assert (zone.letter, zone.with_it, zone.by) == ("C", -106_81, 0)


def test_shown_by_line_the_signed_price_of_a_work_is_the_printed_one() -> None:
    by_line = replace(JOB, head=replace(JOB.head, price_shown=PriceShown.LINE))
    printed = client_prices(by_line, estimate(by_line, BASIS)).works[str(paved(A).id)]
    assert printed % 100 == 0
    assert against(signed(by_line), without_zone(by_line, A)).by == -printed


SIZES = st.integers(4, 400).map(lambda quarters: quarters / 4)


@given(jobs(), bases(), st.integers(0, 3), SIZES, SIZES)
def test_every_price_doubled_and_one_zone_changed_names_that_zone_only(job, basis, at, width, depth) -> None:
    own = job.alternatives[at % len(job.zones)]
    shape = rectangle(width, depth, at=(at % len(job.zones) * 1000.0, 0.0))
    ways = tuple(replace(one, outline=shape) if one is own else one for one in job.alternatives)
    standing = standing_of(job, basis, client_prices(job, estimate(job, basis)).contract)
    untouched = difference(standing, job, doubled(basis))
    assert (untouched.by, untouched.zones) == (0, ())
    found = difference(standing, replace(job, alternatives=ways), doubled(basis))
    assert {one.zone for one in found.zones} <= {str(own.zone_id)}
    assert found.after_cents == standing.sum_cents + sum(item.by for item in found.items)


@given(jobs(), bases())
def test_a_zone_taken_out_is_credited_what_its_works_were_signed_at(job, basis) -> None:
    standing = standing_of(job, basis, client_prices(job, estimate(job, basis)).contract)
    gone = without_zone(job, job.zones[0].id)
    found = difference(standing, gone, doubled(basis))
    here = {one.id for one in job.alternatives if one.zone_id == job.zones[0].id}
    works = {str(one.id) for one in job.works if one.place is PlaceKind.ALTERNATIVE and one.place_id in here}
    works |= {str(one.id) for one in job.allowances if one.zone_id == job.zones[0].id}
    assert found.by == -sum(cents for one, cents in standing.works.items() if one in works)


def test_a_work_of_the_whole_job_counts_as_changed_only_when_somebody_edited_it() -> None:
    job, basis = three_zones.JOB, three_zones.BASIS
    standing = signed(job, basis)
    more = replace(job, alternatives=(three_zones.outline(three_zones.TERRACE, 40, 30, 0), *job.alternatives[1:]))
    assert {one.letter for one in difference(standing, more, basis).zones} == {"A"}
    without_permit = replace(job, works=job.works[:4])
    [zone] = difference(standing, without_permit, basis).zones
    assert (zone.zone, [item.title for item in zone.items]) == ("job", ["Permit"])
    assert Work(id=C, place=PlaceKind.JOB, assembly="permit") not in job.works
