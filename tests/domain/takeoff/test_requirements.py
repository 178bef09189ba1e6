"""What a job needs, against figures worked by hand; what is missing is said; an edit works out what it touched."""

import math
import timeit
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.basis import Assembly, LaborClass, Part, Task, TaskUse
from app.domain.errors import NotFound
from app.domain.findings import Severity, Stop
from app.domain.job import Choice, Edge, PlaceKind, Zone, ZoneKind
from app.domain.plan.outline import Outline
from app.domain.plan.shapes import circle, rectangle
from app.domain.takeoff.explained import explain_requirement
from app.domain.takeoff.requirements import requirements, worked_out
from app.domain.units import AREA, LENGTH, RATIO, VOLUME
from tests.domain.takeoff.recipes import BASIS, PAVERS, basis_with
from tests.domain.takeoff.yards import (
    CONDUIT,
    FIRST,
    GRILL,
    JOB,
    OTHER,
    PLAIN,
    SECOND,
    SLAB,
    TERRACE,
    job_with,
    key,
    work,
)

# The first assembly on a rectangle of 18 by 16 ft in open ground, worked by hand. Base 6 in, bedding 1 in, pavers
# 2 3/8 in; the base runs 6 in past the edge, so its ground is 288 + 68 × 0.5 + π × 0.5² = 322.7854 sq ft (Steiner).
#   soil, loose     322.7854 × (6 + 1 + 2.375)/12 × 1.25 = 322.7854 × 0.976563     = 315.2201 cu ft
#   soil, dug       322.7854 × 0.78125                                             = 252.1761 cu ft
#   fabric                                                                         = 322.7854 sq ft
#   base stone      322.7854 × 0.5                                                 = 161.3927 cu ft
#   bedding         288 × 1/12                                                     =  24.0000 cu ft
#   pavers          288 / 0.375                                                    = 768.0000 each
#   joint sand, lay                                                                = 288.0000 sq ft
#   edging          2 × (18 + 16)                                                  =  68.0000 ft
BY_HAND = {
    "haul-soil": (315.2201, VOLUME, 0.0, 0.0),
    "dig": (252.1761, VOLUME, 0.0, 0.0),
    "fabric": (322.7854, AREA, 0.15, 0.0),
    "base-stone": (161.3927, VOLUME, 0.08, 0.0),
    "sand": (24.0, VOLUME, 0.05, 0.0),
    "cobble": (768.0, RATIO, 0.07, 0.02),
    "joint-sand": (288.0, AREA, 0.0, 0.0),
    "edging": (68.0, LENGTH, 0.05, 0.0),
    "compact": (161.3927, VOLUME, 0.0, 0.0),
    "lay": (288.0, AREA, 0.0, 0.0),
}


def amounts(job, basis=BASIS):
    return {one.key: one.amount for one in requirements(job, basis)[0]}


def test_first_assembly_on_a_rectangle_agrees_with_hand():
    # Source: geometry and arithmetic by hand, in the table above
    needed, findings = requirements(JOB, BASIS)
    assert findings == ()
    assert [one.key for one in needed] == list(BY_HAND)
    for one in needed:
        amount, dimension, loss, keep = BY_HAND[one.key]
        assert one.amount == pytest.approx(amount, abs=1e-4), one.key
        assert (one.dimension, one.loss, one.keep) == (dimension, loss, keep), one.key
    assert [one.index for one in needed] == list(range(10))
    assert {one.zone for one in needed} == {str(TERRACE.id)}
    assert {one.place for one in needed} == {f"zone:{TERRACE.id}"}
    assert {one.kind for one in needed if one.key in BASIS.tasks} == {"task"}


def test_beside_house_and_neighbor_edging_and_base_are_less():
    # house along the 18 ft side; a second zone 10 × 16 ft along the 16 ft side. Open ground: 18 + 16 = 34 ft.
    neighbor = Zone(id=key(13), letter="B", title="Path")
    plan = replace(PLAIN, id=key(14), zone_id=key(13), outline=rectangle(10, 16, at=(18, 0)))
    site = replace(JOB.site, house=rectangle(60, 30, at=(-20, 16)))
    job = job_with(zones=(TERRACE, neighbor), alternatives=(PLAIN, plan), site=site)
    assert amounts(job)["edging"] == pytest.approx(34)
    assert 288 < amounts(job)["fabric"] < 288 + 34 * 0.5 + math.pi * 0.25


def test_overlap_of_two_bases_is_counted_once():
    # two squares of 10 ft, 0.5 ft apart; the strip between belongs to both bases (6 in each): 10 × 0.5 sq ft shared
    two = Zone(id=key(13), letter="B", title="Pad")
    squares = (
        replace(PLAIN, outline=rectangle(10, 10)),
        replace(PLAIN, id=key(14), zone_id=key(13), outline=rectangle(10, 10, at=(10.5, 0))),
    )
    alone = job_with(alternatives=(squares[0],))
    both = job_with(zones=(TERRACE, two), alternatives=squares, works=(work(100), work(101, place_id=key(14))))
    total = sum(one.amount for one in requirements(both, BASIS)[0] if one.key == "fabric")
    assert total < 2 * amounts(alone)["fabric"] - 4.9


def test_typed_edge_length_overrules_the_drawn_one_and_takes_from_open_ground():
    job = job_with(edges=(Edge(id=key(60), zone_id=TERRACE.id, neighbor="wall", length=18.0),))
    assert amounts(job)["edging"] == pytest.approx(50)


def test_only_the_chosen_alternative_counts():
    job = job_with(works=(work(100), work(101, place_id=OTHER.id)))
    assert amounts(job)["lay"] == 288
    other = replace(job, zones=(replace(TERRACE, chosen_id=OTHER.id),))
    assert amounts(other)["lay"] == 400


def test_chosen_finish_changes_count_and_depth():
    # Source: by hand: 288 / 4 = 72 slabs; depth 6 + 1 + 2 = 9 in
    for job in (
        job_with(works=(work(100, finishes={"finish": "slab"}),)),
        job_with(choices=(Choice(id=key(70), role="finish", material="slab"),)),
        job_with(choices=(Choice(id=key(70), role="finish", material="slab", zone_id=TERRACE.id),)),
    ):
        found = amounts(job)
        assert found["slab"] == 72
        assert "cobble" not in found
        assert found["dig"] == pytest.approx(322.7854 * 0.75, abs=1e-3)
    elsewhere = job_with(choices=(Choice(id=key(70), role="finish", material="slab", zone_id=key(99)),))
    assert amounts(elsewhere)["cobble"] == 768


def test_parameter_set_on_the_job_runs_through_to_what_is_included():
    # Source: by hand: base 12 in, so the base runs 12 in past the edge: 288 + 68 + π = 359.1416 sq ft, dug 15.375 in deep
    found = amounts(job_with(works=(work(100, parameters={"base": "12*inch"}),)))
    assert found["base-stone"] == pytest.approx(359.1416, abs=1e-4)
    assert found["dig"] == pytest.approx(359.1416 * 15.375 / 12, abs=1e-3)


def test_parameter_out_of_bounds_is_said_and_still_counted():
    job = job_with(works=(work(100, parameters={"base": "3*inch"}),))
    needed, [finding] = requirements(job, BASIS)
    assert finding.rule == "out-of-bounds"
    assert finding.severity is Severity.WARN
    assert 'Base, compacted is 3"; it should be at least 4".' in finding.what
    metric = replace(BASIS, firm=replace(BASIS.firm, system="metric"))  # asked of what is kept in feet
    assert "Base, compacted is 0.076 m; it should be at least 0.102 m." in requirements(job, metric)[1][0].what
    assert finding.remedy == "Change “Base, compacted”, or go on and say why."
    assert len(needed) == 10
    hair = requirements(job_with(works=(work(100, parameters={"base": "3.99*inch"}),)), BASIS)[1][0]
    assert "Base, compacted is 0.3325 ft; it should be at least 0.3333 ft." in hair.what  # 4 in, as one tapes either
    at_bound = job_with(works=(work(100, parameters={"base": "4*inch"}),))
    assert requirements(at_bound, BASIS)[1] == ()


def test_missing_outline_is_one_finding_that_names_what_is_not_counted():
    job = job_with(alternatives=(replace(PLAIN, outline=None),))
    needed, findings = requirements(job, BASIS)
    assert needed == ()
    assert {finding.stop for finding in findings} == {Stop.MONEY}
    by_measure = {finding.measured: finding for finding in findings}
    assert set(by_measure) == {"area", "grown", "shared('ground')"}
    assert by_measure["area"].what == (
        "Zone A, Terrace, Unit pavers on compacted base: Area is not known. "
        "Not counted: Washed sand, Small paver, harvest, Joint sand, Lay pavers."
    )
    assert by_measure["area"].remedy == "Draw or type the outline of Zone A, Terrace on the plan."


@pytest.mark.parametrize(
    ("job", "rule", "words"),
    [
        (job_with(works=(work(100, "unit-paver"),)), "assembly-missing", "Did you mean “unit-pavers”?"),
        (job_with(works=(work(100, place_id=key(999)),)), "place-missing", "no longer on the plan"),
        (job_with(works=(work(100, place=PlaceKind.RUN, place_id=CONDUIT.id),)), "wrong-place", "is built on a zone, not on a run"),
        (job_with(works=(work(100, finishes={"finish": "slap"}),)), "recipe", "Did you mean “slab”?"),
        (job_with(works=(work(100, parameters={"base": "6"}),)), "recipe", "ft is wanted"),
    ],
)  # fmt: skip
def test_what_cannot_be_counted_is_a_finding_that_stops(job, rule, words):
    needed, findings = requirements(job, BASIS)
    found = [finding for finding in findings if finding.rule == rule]
    assert found
    assert any(words in finding.what for finding in found)
    assert all(finding.remedy and finding.stop is Stop.MONEY for finding in found)
    assert all(one.key not in ("cobble", "slap") for one in needed if rule == "recipe" and "slab" in words)


def test_role_without_material_is_said_with_what_to_do():
    open_finish = replace(
        PAVERS, parts=tuple(replace(p, material="" if p.role == "joint fill" else p.material) for p in PAVERS.parts)
    )
    needed, [finding] = requirements(JOB, basis_with(open_finish))
    assert "joint-sand" not in {one.key for one in needed}
    assert finding.rule == "finish-missing"
    assert "joint fill" in finding.what
    assert [one.index for one in needed] == list(range(9))


def test_two_parts_of_one_role_keep_their_own_materials():
    two = Assembly(
        key="two",
        title="Two",
        parts=(
            Part(role="bedding", amount="area * 1*inch", material="sand"),
            Part(role="bedding", amount="area * 2*inch", material="base-stone"),
        ),
    )
    found = amounts(job_with(works=(work(100, "two"),)), basis_with(two))
    assert found == {"sand": pytest.approx(24), "base-stone": pytest.approx(48)}


def test_division_by_zero_and_negative_amounts_are_findings():
    odd = Assembly(
        key="odd",
        title="Odd",
        parts=(
            Part(role="a", amount="area / (area - area) * area", material="fabric"),
            Part(role="b", amount="area - 300*foot**2", material="fabric"),
        ),
    )
    needed, findings = requirements(job_with(works=(work(100, "odd"),)), basis_with(odd))
    assert needed == ()
    assert {finding.rule for finding in findings} == {"formula-failed", "negative"}
    assert any("divides by zero" in finding.what for finding in findings)
    assert any("comes out at -12 sq ft" in finding.what for finding in findings)


# places


PLACED = {
    "run": (PlaceKind.RUN, CONDUIT.id),
    "feature": (PlaceKind.FEATURE, GRILL.id),
    "existing": (PlaceKind.EXISTING, SLAB.id),
    "job": (PlaceKind.JOB, None),
    "zone": (PlaceKind.ALTERNATIVE, PLAIN.id),
}


def measured(place, text, job=JOB):
    """The amount of a formula on a place of the job, and the findings: by the task unit that fits."""
    odd = Assembly(key="odd", title="Odd", measures=place, tasks=(TaskUse(task="any", amount=text),))
    for unit in ("foot", "foot**2", "each"):
        basis = basis_with(odd, Task(key="any", title="Any", unit=unit, hours=(1, 1, 1)))
        needed, findings = requirements(replace(job, works=(work(100, "odd", *PLACED[place]),)), basis)
        if not any(finding.rule == "recipe" for finding in findings):
            return (needed[0].amount if needed else None), findings
    raise AssertionError(findings)


SITE = replace(JOB.site, lot=rectangle(100, 120), haul_distance=80.0, access_width=3.5)


@pytest.mark.parametrize(
    ("place", "text", "amount"),
    [
        # Source: geometry by hand
        ("zone", "area", 288),
        ("zone", "outline", 68),
        ("zone", "grown(6*inch)", 322.785398),
        ("zone", "fall", 0.02),
        ("run", "length", 70),
        ("run", "ends", 2),
        ("run", "under('zone')", 12),
        ("feature", "count", 2),
        ("existing", "area", 120),
        ("existing", "outline", 44),
        ("existing", "thickness", 1 / 3),
        ("job", "area_total", 288),
        ("job", "lot_area", 12000),
        ("job", "haul_distance", 80),
        ("job", "access_width", 3.5),
        ("job", "trips", 2),
    ],
)
def test_measure_of_a_place(place, text, amount):
    alternatives = (replace(PLAIN, fall=0.02), OTHER)
    runs = (replace(CONDUIT, under={"zone": 12.0}, phase_id=SECOND.id),)
    job = job_with(site=SITE, alternatives=alternatives, runs=runs, phases=(FIRST, SECOND))
    found, findings = measured(place, text, job)
    assert findings == ()
    assert found == pytest.approx(amount)


@pytest.mark.parametrize(
    ("place", "text", "remedy"),
    [
        ("zone", "fall", "Type the fall"),
        ("zone", "laid_units", "Lay a pattern"),
        ("run", "height", "Type the height of Conduit."),
        ("run", "under('wall')", "0 where none does"),
        ("feature", "area", "Type the area of Grill."),
        ("existing", "length", "Type the length of Old slab."),
        ("job", "lot_area", "lot"),
        ("job", "haul_distance", "site sheet"),
        ("job", "access_width", "site sheet"),
    ],
)
def test_unknown_measure_is_a_finding_never_zero(place, text, remedy):
    found, [finding] = measured(place, text)
    assert found is None
    assert finding.rule == "measure-missing"
    assert remedy in finding.remedy


def test_drawn_run_is_measured_below_finished_surfaces_but_not_below_lawn():
    # Source: geometry by hand: the line runs 18 ft along y = 8 through the terrace of 18 by 16 ft, 12 ft beyond it
    through = replace(CONDUIT, points=((-6, 8), (24, 8)))
    job = job_with(runs=(through,))
    assert measured("run", "under('zone')", job)[0] == pytest.approx(18)
    assert measured("run", "under('zone')", replace(job, runs=(replace(through, under={"zone": 5.0}),)))[0] == 5
    lawn = replace(job, zones=(replace(TERRACE, kind=ZoneKind.LAWN),))
    assert measured("run", "under('zone')", lawn) == (None, ())  # known to be none, so nothing is needed
    unknown = replace(job, zones=(TERRACE, Zone(id=key(13), letter="B")))
    assert measured("run", "under('zone')", unknown)[1][0].rule == "measure-missing"


def test_broken_outline_is_remembered_even_where_only_the_area_is_read():
    flat = Assembly(key="flat", title="Flat", tasks=(TaskUse(task="lay", amount="area"),))
    broken = job_with(alternatives=(replace(PLAIN, outline=Outline("nothing")),), works=(work(100, "flat"),))
    assert requirements(broken, basis_with(flat))[1]
    needed, findings = requirements(replace(broken, alternatives=(PLAIN,)), basis_with(flat))
    assert [one.amount for one in needed] == [288]
    assert findings == ()


def test_typed_length_and_area_overrule_the_drawn_ones():
    assert measured("run", "length", job_with(runs=(replace(CONDUIT, length=64.5),)))[0] == 64.5
    assert measured("existing", "area", job_with(existing=(replace(SLAB, area=111.0),)))[0] == 111
    assert measured("job", "lot_area", job_with(site=replace(SITE, lot_area=9000.0)))[0] == 9000


def test_area_total_is_unknown_while_one_zone_has_no_outline():
    job = job_with(zones=(TERRACE, Zone(id=key(13), letter="B")))
    assert measured("job", "area_total", job)[1][0].rule == "measure-missing"


def test_crew_days_follow_from_the_tasks_of_the_crew():
    # Source: by hand at the high third: dig 252.1761/27 × 2.4 = 22.4157 h; compact 161.3927 × 0.06 + 1.5 = 11.1836;
    # lay 288 × 0.10 + 3 = 31.8; together 65.3992 h over a crew-day of 3 × 9 = 27 h is 2.42, so 3 days.
    own = Assembly(
        key="own", title="Supervision", measures="job", tasks=(TaskUse(task="watch", amount="crew_days * 2*hour"),)
    )
    plan = replace(own, key="plan", tasks=(TaskUse(task="watch", amount="40*hour"),))  # the owner's hours are no crew's
    watch = Task(key="watch", title="Watch", unit="hour", hours=(1, 1, 1), crew="owner")
    labor = {"owner": LaborClass(key="owner", title="Owner", wage=40, own=True)}
    basis = replace(basis_with(own, plan, watch), labor_classes=labor)
    job = job_with(works=(work(101, "own", PlaceKind.JOB, None), work(100), work(102, "plan", PlaceKind.JOB, None)))
    needed, findings = requirements(job, basis)
    assert findings == ()
    assert needed[0].key == "watch"
    assert needed[0].amount == 6
    assert needed[0].zone == "job"
    assert requirements(job, basis, crew_days=4)[0][0].amount == 8
    assert explain_requirement(job, basis, key(101), 0, crew_days=4).filled == "4 × 2 × hour"


def test_zone_and_phase_of_a_requirement():
    # the work's own phase, else the place's, else the zone's, else the first by number
    zone = replace(TERRACE, phase_id=SECOND.id)
    base = job_with(zones=(zone,), phases=(SECOND, FIRST))

    def phase_of(job):
        return {one.phase for one in requirements(job, BASIS)[0]}

    assert phase_of(base) == {str(SECOND.id)}
    assert phase_of(replace(base, works=(work(100, phase_id=FIRST.id),))) == {str(FIRST.id)}
    assert phase_of(replace(base, zones=(TERRACE,))) == {str(FIRST.id)}
    assert phase_of(JOB) == {""}
    run = Assembly(key="r", title="R", measures="run", tasks=(TaskUse(task="lay", amount="length * foot"),))
    on_run = replace(
        base, works=(work(100, "r", PlaceKind.RUN, CONDUIT.id),), runs=(replace(CONDUIT, zone_id=zone.id),)
    )
    [one] = requirements(on_run, basis_with(run))[0]
    assert (one.zone, one.phase) == (str(zone.id), str(SECOND.id))
    [free] = requirements(replace(on_run, runs=(CONDUIT,)), basis_with(run))[0]
    assert (free.zone, free.phase) == ("job", str(FIRST.id))


# kept results


def many_zones(count):
    """Zones of 10 by 10 ft, 40 ft apart, each with the first assembly."""
    zones = tuple(Zone(id=key(1000 + i), letter=str(i), title=f"Pad {i}") for i in range(count))
    plans = tuple(
        replace(PLAIN, id=key(2000 + i), zone_id=key(1000 + i), outline=rectangle(10, 10, at=(40 * i, 0)))
        for i in range(count)
    )
    works = tuple(work(3000 + i, place_id=key(2000 + i)) for i in range(count))
    return job_with(zones=zones, alternatives=plans, works=works)


def test_an_edit_works_out_only_what_it_touched():
    job = many_zones(8)
    requirements(job, BASIS)
    before = worked_out()
    requirements(replace(job), replace(BASIS))
    assert worked_out() == before
    moved = tuple(
        replace(a, outline=rectangle(12, 10, at=(0, 0))) if a.id == key(2000) else a for a in job.alternatives
    )
    changed, _ = requirements(replace(job, alternatives=moved), BASIS)
    assert worked_out() == before + 1
    assert sum(one.amount for one in changed if one.key == "lay") == 120 + 7 * 100
    dearer = basis_with(replace(BASIS.materials["sand"], loss=0.10))
    requirements(job, dearer)
    assert worked_out() == before + 1 + 8


def test_kept_results_equal_fresh_ones_after_a_neighbor_moves():
    # a zone moved up against the first one takes its open edge: nothing of the first zone itself was edited
    job = many_zones(2)
    requirements(job, BASIS)
    near = replace(
        job, alternatives=(job.alternatives[0], replace(job.alternatives[1], outline=rectangle(10, 10, at=(10, 0))))
    )
    edging = [one.amount for one in requirements(near, BASIS)[0] if one.key == "edging"]
    assert edging == pytest.approx([30, 30])


@pytest.mark.parametrize(
    ("wkt", "words"),
    [("POLYGON ((0 0, 10 10, 10 0, 0 10, 0 0))", "cross"), ("no outline at all", "outline")],
)
def test_outline_that_cannot_be_measured_is_said_and_counted_once_it_is_mended(wkt, words):
    broken = job_with(alternatives=(replace(PLAIN, outline=Outline(wkt)),))
    needed, findings = requirements(broken, BASIS)
    assert needed == ()
    assert any(words in finding.what for finding in findings)
    assert {finding.stop for finding in findings} == {Stop.MONEY}
    mended, findings = requirements(JOB, BASIS)
    assert len(mended) == 10
    assert findings == ()


def test_base_grown_beyond_reason_is_a_finding():
    job = job_with(works=(work(100, parameters={"overdig": "500*foot"}),))
    needed, findings = requirements(job, BASIS)
    assert "base-stone" not in {one.key for one in needed}
    assert any("500 ft" in finding.what for finding in findings)


def test_five_hundred_requirements_take_few_milliseconds():
    # 50 works of 10 requirements; worked out afresh each time, from compiled assemblies and measured outlines
    from app.domain.takeoff.requirements import _WORKED_OUT

    job = many_zones(50)

    def afresh():
        _WORKED_OUT.clear()
        return requirements(job, BASIS)[0]

    assert len(afresh()) == 500
    assert min(timeit.repeat(afresh, number=1, repeat=5)) < 0.06


# properties


@settings(max_examples=40, deadline=None)
@given(st.floats(4, 60), st.floats(4, 60), st.floats(0, 20), st.floats(1, 12))
def test_growing_a_zone_never_lowers_an_amount(width, depth, more, base_inches):
    def needs(wide):
        plan = replace(PLAIN, outline=rectangle(wide, depth))
        works = (work(100, parameters={"base": f"{base_inches:.3f}*inch"}),)
        return amounts(job_with(alternatives=(plan,), works=works))

    small, large = needs(width), needs(width + more)
    assert small.keys() == large.keys()
    assert all(large[name] >= small[name] - 1e-6 for name in small)
    assert all(amount >= 0 for amount in small.values())


def test_order_of_works_and_zones_changes_no_amount():
    job = many_zones(5)
    turned = replace(job, works=job.works[::-1], zones=job.zones[::-1], alternatives=job.alternatives[::-1])
    assert sorted(requirements(job, BASIS)[0], key=str) == sorted(requirements(turned, BASIS)[0], key=str)


# traces


def test_every_figure_opens_to_its_formula_numbers_and_sources():
    needed, _ = requirements(JOB, BASIS)
    for one in needed:
        shown = explain_requirement(JOB, BASIS, one.work_id, one.index)
        assert shown.result == one.amount
        assert shown.label == one.label
        assert shown.expression
        assert shown.filled


def test_trace_of_dug_soil_reaches_down_to_the_typed_parameters():
    dig = next(one for one in requirements(JOB, BASIS)[0] if one.key == "dig")
    shown = explain_requirement(JOB, BASIS, dig.work_id, dig.index)
    assert shown.filled == "322.7854 sq ft × 0.7813 ft"
    footprint, depth = shown.steps
    assert footprint.expression == "grown(overdig)"
    by_label = {step.label: step for step in footprint.steps}
    assert by_label["grown(overdig)"].source == "outline, grown"
    assert by_label["Base beyond the edge"].result == 0.5
    assert depth.expression == "base + bedding + thickness_of('finish')"
    base = depth.steps[0]
    assert (base.label, base.expression, base.result) == ("Base, compacted", "6*inch", 0.5)
    assert base.source == "trade association minimum: 4 in patios and walks, 6 in drives"


def test_figure_that_is_gone_says_so():
    for work_id, index in ((key(100), 99), (key(100), -1), (key(5), 0)):
        with pytest.raises(NotFound):
            explain_requirement(JOB, BASIS, work_id, index)


def test_round_zone_agrees_with_circle_formulas():
    # Source: geometry: circle of 9 ft radius: π 9² = 254.469, 2 π 9 = 56.549; base to 9.5 ft: π 9.5² = 283.529
    found = amounts(job_with(alternatives=(replace(PLAIN, outline=circle(9)),)))
    assert found["lay"] == pytest.approx(math.pi * 81)
    assert found["edging"] == pytest.approx(18 * math.pi)
    assert found["fabric"] == pytest.approx(math.pi * 9.5**2)
