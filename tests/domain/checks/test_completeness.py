"""What is still open before signing, and the list that says so."""

from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.basis import Basis, Firm, FirmPage, Price
from app.domain.checks import cautions, cautions_by_zone, check, every_caution, open_points, ready_to_sign
from app.domain.costing.estimate import estimate
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Allowance, Choice, EdgeChoice, Fate, Job, Settlement, ZoneKind
from app.domain.plan import moved, rectangle, turned
from tests.plans.yards import (
    basis,
    empty,
    library,
    named,
    with_edge,
    with_existing,
    with_feature,
    with_need,
    with_phase,
    with_run,
    with_zone,
)

REVIEWED = FirmPage(title="Terms", text="…", reviewed_by="Maren Oduya", reviewed_on=date(2027, 1, 4))


def of(rule: str, job: Job) -> list[Finding]:
    return [one for one in check(job, basis()) if one.rule == rule]


def test_must_have_without_a_zone_warns_and_nice_to_have_does_not() -> None:
    assert of("need-unmet", with_need(empty(), "Room for twelve"))
    assert of("need-unmet", with_need(empty(), "A swing", must=False)) == []
    met = with_need(with_zone(empty(), "A", rectangle(9, 9)), "Room for twelve", "A")
    assert of("need-unmet", met) == []
    gone = with_need(empty(), "Room for twelve", "A")  # the zone was taken out
    assert of("need-unmet", gone)


def side_by_side() -> Job:
    job = with_zone(empty(house=None), "A", rectangle(10, 10), "unit-pavers")
    return with_zone(job, "B", rectangle(10, 10, at=(10, 0)), "planting-bed")


def test_shared_edge_is_open_until_somebody_decides() -> None:
    (found,) = of("edge-open", side_by_side())
    assert "10'" in found.measured
    assert of("edge-open", with_edge(side_by_side(), "A", "B", choice=EdgeChoice.OPEN))
    assert of("edge-open", with_edge(side_by_side(), "B", "A", choice=EdgeChoice.NOTHING)) == []


def test_finish_is_open_until_it_is_chosen() -> None:
    job = side_by_side()
    (found,) = [one for one in of("finish-open", job) if one.measured.startswith("finish:")]
    assert found.where.startswith("work:")
    chosen = Choice(id=named("choice"), role="finish", material="paver-cobble-harvest", zone_id=named("zone A"))
    after = of("finish-open", replace(job, choices=(chosen,)))
    assert not [one for one in after if one.measured.startswith("finish:")]


def stripped(outline) -> Job:
    return with_existing(side_by_side(), "Back lawn", "turf", "strip-turf", fate=Fate.GOES, outline=outline)


def test_lawn_stripped_below_a_zone_that_digs_is_paid_twice() -> None:
    """The lawn covers half of zone A: 50 sq ft. Zone B's bed digs no soil out. Source: geometry."""
    (found,) = of("counted-twice", stripped(rectangle(5, 10)))
    assert "50" in found.measured
    assert of("counted-twice", stripped(rectangle(10, 10, at=(0, 10)))) == []


def test_lawn_without_an_outline_is_not_checked() -> None:
    assert [one.severity for one in of("counted-twice", stripped(None))] == [Severity.NOT_CHECKED]


def without_prices() -> Job:
    return with_zone(empty(), "A", rectangle(20, 10, at=(0, 50)), "gravel-surface", fall=0.02)


def missing_prices(job: Job, on: Basis) -> set[str]:
    return {one.where for one in estimate(job, on).findings if one.rule == "price-missing"}


def test_allowance_stands_for_a_material_without_a_price() -> None:
    before = missing_prices(without_prices(), basis())
    key = min(before).removeprefix("material:")
    assert f"material:{key}" in before
    aside = Allowance(id=named("aside"), title="Gravel, to be chosen", cents=90_000, material=key)
    job = replace(without_prices(), allowances=(aside,))
    assert missing_prices(job, basis()) == before - {f"material:{key}"}
    (noted,) = [one for one in estimate(job, basis()).findings if one.rule == "price-set-aside"]
    assert (noted.severity, noted.stop) == (Severity.NOTE, Stop.NONE)


def test_allowance_of_nothing_stands_for_nothing() -> None:
    key = min(missing_prices(without_prices(), basis())).removeprefix("material:")
    aside = Allowance(id=named("aside"), title="Gravel", cents=0, material=key)
    assert f"material:{key}" in missing_prices(replace(without_prices(), allowances=(aside,)), basis())


def test_price_typed_after_an_allowance_is_paid_twice() -> None:
    aside = Allowance(id=named("aside"), title="Gravel", cents=100, material="haul-soil")
    job = replace(without_prices(), allowances=(aside,))
    assert [one for one in check(job, basis()) if one.rule == "allowance-and-price"] == []
    priced = replace(basis(), prices={"haul-soil": Price(material="haul-soil", unit_price=Decimal(40))})
    assert [one.severity for one in check(job, priced) if one.rule == "allowance-and-price"] == [Severity.WARN]


def test_missing_rules_are_said_and_do_not_pass_unseen() -> None:
    (found,) = [one for one in check(side_by_side(), replace(basis(), rules={})) if one.rule == "rules-missing"]
    assert found.severity is Severity.NOT_CHECKED


def papers(firm: Firm) -> set[str]:
    on = Basis(firm=firm)
    found = open_points(empty(), on, estimate(empty(), on))
    return {one.measured for one in found if one.rule == "papers"}


def test_papers_of_the_firm_stop_until_they_are_there_and_reviewed() -> None:
    assert papers(Firm()) >= {"terms", "notices", "name", "license"}
    whole = Firm(
        name="Brackenfold Yards", street="4 Millrace Lane", license="L-204", terms=REVIEWED, notices=(REVIEWED,)
    )
    assert papers(whole) == set()
    assert papers(replace(whole, terms=replace(REVIEWED, reviewed_by=""))) == {"terms"}
    assert papers(replace(whole, notices=(replace(REVIEWED, reviewed_on=None),))) == {"notice Terms"}


def point(stop: Stop, severity: Severity = Severity.STOP, measured: str = "1 ft") -> Finding:
    return Finding(rule="r", severity=severity, where="job", what="Something.", measured=measured, stop=stop)


def settled(job: Job, finding: Finding) -> Job:
    at = datetime(2027, 3, 9, tzinfo=UTC)
    one = Settlement(id=named("settle"), finding=finding.key, by="Maren Oduya", reason="Seen on site.", on=at)
    return replace(job, settlements=(one,))


@pytest.mark.parametrize("stop", [Stop.MONEY, Stop.REGION])
def test_money_and_region_are_settled_with_name_and_reason(stop) -> None:
    found = point(stop)
    assert not ready_to_sign([found], empty()).ready
    after = ready_to_sign([found], settled(empty(), found))
    assert after.ready
    assert [one.settlement.by for one in after.settled] == ["Maren Oduya"]


def test_law_is_never_settled() -> None:
    found = point(Stop.LAW)
    after = ready_to_sign([found], settled(empty(), found))
    assert not after.ready
    assert after.settled == ()


def test_settled_point_comes_back_when_what_it_rests_on_changes() -> None:
    job = settled(empty(), point(Stop.MONEY, measured="1 ft"))
    assert not ready_to_sign([point(Stop.MONEY, measured="2 ft")], job).ready


def test_notes_are_not_counted_as_open() -> None:
    many = [point(Stop.NONE, Severity.NOTE), point(Stop.NONE, Severity.WARN), point(Stop.NONE, Severity.NOT_CHECKED)]
    found = ready_to_sign(many, empty())
    assert found.ready
    assert found.open_count == 2


def whole_yard() -> Job:
    """A bit of everything, so that most rules have something to say."""
    job = with_zone(
        empty(), "A", rectangle(20, 12, at=(0, 20)), "unit-pavers", kind=ZoneKind.DINING, fall=0.01, level=3.0
    )
    job = with_zone(job, "B", rectangle(20, 12, at=(20, 20)), "planting-bed", level=0.0)
    job = with_run(job, "Seat", "seat-wall", points=((5.0, 40.0), (15.0, 40.0)), height=4.0, zone_id=named("zone A"))
    job = with_feature(job, "Fire", "fire-wood", x=10.0, y=38.0, zone_id=named("zone A"))
    job = with_existing(job, "Lawn", "turf", "strip-turf", outline=rectangle(30, 12, at=(0, 20)))
    return with_phase(with_need(job, "Somewhere to eat", "A"), 1)


def moved_job(job: Job, east: float, north: float, degrees: float) -> Job:
    def outline(one):
        return moved(turned(one, degrees), east, north) if one else None

    def points(line):
        from app.domain.plan.measures import turning

        turn = turning(degrees, (0.0, 0.0))
        return tuple((turn(p)[0] + east, turn(p)[1] + north) for p in line)

    return replace(
        job,
        site=replace(job.site, house=outline(job.site.house), lot=outline(job.site.lot)),
        alternatives=tuple(replace(one, outline=outline(one.outline)) for one in job.alternatives),
        existing=tuple(replace(one, outline=outline(one.outline)) for one in job.existing),
        runs=tuple(replace(one, points=points(one.points)) for one in job.runs),
        features=tuple(
            replace(one, x=points([(one.x, one.y)])[0][0], y=points([(one.x, one.y)])[0][1]) for one in job.features
        ),
    )


@settings(max_examples=25, deadline=None)
@given(st.integers(-50, 50), st.integers(-50, 50), st.sampled_from([0.0, 90.0, 180.0, 270.0, 30.0, 77.0]))
def test_moving_or_turning_the_plan_changes_no_finding(east, north, degrees) -> None:
    before = check(whole_yard(), basis())
    assert len(before) > 15
    assert check(moved_job(whole_yard(), east, north, degrees), basis()) == before


def test_each_point_has_a_key_of_its_own() -> None:
    """Settling one point must never settle another."""
    job = whole_yard()
    found = open_points(job, basis(), estimate(job, basis()))
    assert len({one.key for one in found}) == len(found) > 30


def test_order_of_entry_changes_no_finding() -> None:
    job = whole_yard()
    backward = replace(job, works=job.works[::-1], runs=job.runs[::-1], features=job.features[::-1])
    assert {one.key for one in check(backward, basis())} == {one.key for one in check(job, basis())}


def test_cautions_stand_by_place_and_by_zone() -> None:
    job = whole_yard()
    by_place = cautions(job, basis())
    assert "fire" in by_place[f"feature:{named('feature Fire')}"]
    assert "fire" in cautions_by_zone(job, basis())[str(named("zone A"))]
    assert "fire" not in cautions_by_zone(job, basis())[str(named("zone B"))]


def test_cautions_of_included_recipes_count() -> None:
    """The digging of a terrace stands in the recipe it includes."""
    assert "open-excavation" in cautions(side_by_side(), basis())[f"zone:{named('zone A')}"]


def test_cautions_leave_out_what_is_not_chosen() -> None:
    job = side_by_side()
    other = replace(job.alternatives[0], id=named("other"), title="Gravel")
    job = replace(job, alternatives=(*job.alternatives, other), works=(replace(job.works[0], place_id=other.id),))
    assert cautions(job, basis()) == {}


def test_every_caution_has_its_words() -> None:
    assert set(every_caution(whole_yard(), basis())) <= library().cautions.keys()


def test_chosen_finish_without_a_color_is_said_once_with_its_places():
    known = basis()
    bare = replace(known.materials["paver-cobble-harvest"], color="", blend={})
    on = replace(known, materials={**known.materials, bare.key: bare})
    job = with_zone(with_zone(empty(), "A", rectangle(9, 9, at=(0, 50)), "unit-pavers"), "B", None, "unit-pavers")
    (found,) = [one for one in check(job, on) if one.rule == "color-missing"]
    assert found.where == "material:paver-cobble-harvest"
    assert "Zone A, Place A, Zone B, Place B" in found.what
    assert [one for one in check(job, known) if one.rule == "color-missing"] == []
