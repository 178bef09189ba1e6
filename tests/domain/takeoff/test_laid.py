"""Units laid in a pattern within the takeoff: what formulas read, what is ordered, and what an edit lays again."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

import pytest

from app.domain.basis import Basis, LearnedWaste, Price
from app.domain.checks.engine import check
from app.domain.costing.estimate import estimate
from app.domain.costing.explain import explain
from app.domain.crew import crew_sheets
from app.domain.findings import Severity
from app.domain.job import BorderCourse, Job, Laying, Opening
from app.domain.plan import circle, rectangle
from app.domain.plan.laying import layings_made
from app.domain.plan.outline import Outline
from app.domain.takeoff.purchases import purchases
from app.domain.takeoff.requirements import Requirement, requirements
from tests.plans import yards

COBBLE = "paver-cobble-harvest"  # 6 by 9 in, 0.375 sq ft, sold by the piece
BRICK = "paver-brick-smoke"  # 4 by 8 in


def terrace(outline: Outline, laying: Laying | None, **finishes: str) -> Job:
    job = yards.with_zone(yards.empty(), "A", outline, assembly="unit-pavers")
    (work,) = job.works
    return replace(job, works=(replace(work, laying=laying, finishes=finishes),))


def needed(job: Job, basis: Basis | None = None) -> Mapping[str, Requirement]:
    return {f"{one.role or 'task'}:{one.key}": one for one in requirements(job, basis or yards.basis())[0]}


def ordered(job: Job, basis: Basis | None = None, material: str = COBBLE) -> float:
    basis = basis or yards.basis()
    bought, _ = purchases(requirements(job, basis)[0], basis)
    return sum(one.wanted for one in bought if one.material == material)


def test_without_a_pattern_units_go_by_area() -> None:
    found = needed(terrace(rectangle(18, 12), None))
    assert found[f"finish:{COBBLE}"].amount == pytest.approx(216 / 0.375)
    assert found[f"finish:{COBBLE}"].loss == pytest.approx(0.07)
    assert not any(name.startswith("border") for name in found)


def test_laid_units_and_cuts_are_counted_by_hand() -> None:
    # 18 ft is 24 units of 9 in, 12 ft is 24 courses of 6 in; every second course has 23 whole units and two halves
    found = needed(terrace(rectangle(18, 12), Laying(pattern="running-half", start=(0, 0), angle=0)))
    assert found[f"finish:{COBBLE}"].amount == 12 * 24 + 12 * 25
    assert found["task:cut-units"].amount == 24
    assert found["wet saw:wet-saw"].amount == pytest.approx(24 * 0.5)


def test_custom_is_ordered_where_it_is_more_than_was_laid() -> None:
    # 588 laid; 5 % beyond 576 is 604.8; 2 % of what was laid is left with the client
    job = terrace(rectangle(18, 12), Laying(pattern="running-half", start=(0, 0), angle=0))
    assert ordered(job) == pytest.approx(604.8 + 0.02 * 588)
    words = needed(job)[f"finish:{COBBLE}"].order_words
    assert "588 laid with cuts; 5% beyond the area, as is customary for straight work, is 605" in words


def test_the_laid_count_is_ordered_where_it_is_more_than_custom() -> None:
    # 3 ft wide: the laid count is more than a tenth beyond the area
    job = terrace(rectangle(3.1, 30), Laying(pattern="herringbone-45"))
    one = needed(job)[f"finish:{COBBLE}"]
    assert one.amount > 93 / 0.375 * 1.10
    assert one.loss == 0
    assert ordered(job) == pytest.approx(one.amount * 1.02)


@pytest.mark.parametrize(
    ("outline", "laying", "share", "why"),
    [
        (rectangle(18, 12), Laying(pattern="stack"), 0.05, "for straight work"),
        (rectangle(18, 12), Laying(pattern="herringbone-90"), 0.05, "for straight work"),
        (rectangle(18, 12), Laying(pattern="herringbone-45"), 0.10, "on the diagonal"),
        (rectangle(18, 12), Laying(pattern="stack", angle=45), 0.10, "on the diagonal"),
        (rectangle(18, 12), Laying(pattern="stack", angle=90), 0.05, "for straight work"),
        (rectangle(18, 12), Laying(pattern="three-size"), 0.10, "in mixed sizes"),
        (circle(9), Laying(pattern="stack"), 0.10, "along curves"),
    ],
)
def test_custom_depends_on_how_it_is_laid(outline: Outline, laying: Laying, share: float, why: str) -> None:
    # 5 % straight, 10 % on the diagonal, on curves and in mixed sizes: common practice, no source
    words = needed(terrace(outline, laying))[f"finish:{COBBLE}"].order_words
    assert f"{share:.0%} beyond the area, as is customary {why}" in words


def test_custom_is_the_firms_to_set() -> None:
    basis = yards.basis()
    careful = replace(basis, firm=replace(basis.firm, order_straight=Decimal("0.20")))
    job = terrace(rectangle(18, 12), Laying(pattern="stack", start=(0, 0), angle=0))
    assert ordered(job, careful) == pytest.approx(576 * 1.20 + 576 * 0.02)


@pytest.mark.parametrize(("jobs", "beyond"), [(2, 0.05), (3, 0.0)])
def test_a_finish_is_ordered_closer_only_after_three_closed_jobs_of_its_own(jobs: int, beyond: float) -> None:
    basis = yards.basis()
    price = Price(material=COBBLE, unit_price=Decimal(1), laid_jobs=jobs, order_beyond=Decimal(0))
    own = replace(basis, prices={**basis.prices, COBBLE: price})
    job = terrace(rectangle(18, 12), Laying(pattern="stack", start=(0, 0), angle=0))
    assert ordered(job, own) == pytest.approx(576 * (1 + beyond) + 576 * 0.02)


@pytest.mark.parametrize(
    ("jobs", "share", "ordered_units"),
    [(3, 0.02, 576 * 1.02), (2, 0.02, 576 * 1.05), (2, 0.08, 576 * 1.08), (3, 0.0, 576)],
)
def test_what_own_jobs_use_beyond_the_units_laid_takes_the_place_of_custom(
    jobs: int, share: float, ordered_units: float
) -> None:
    # fewer than three jobs order the larger of both; the cuts are in the count, so nothing is added for them
    basis = yards.basis()
    learned = LearnedWaste(share=share, job_ids=tuple("abc"[:jobs]), job_numbers=tuple(range(jobs)))
    cobble = replace(basis.materials[COBBLE], laid_beyond=learned)
    own = replace(basis, materials={**basis.materials, COBBLE: cobble})
    job = terrace(rectangle(18, 12), Laying(pattern="stack", start=(0, 0), angle=0))
    assert ordered(job, own) == pytest.approx(ordered_units + 576 * 0.02)
    words = needed(job, own)[f"finish:{COBBLE}"].order_words
    assert f"{share:.1%} beyond them, as {jobs} closed jobs of our own showed" in words
    assert ("as is customary" in words) is (jobs < 3)


def test_a_border_is_a_part_of_its_own_material() -> None:
    # butted soldiers of 4 by 8 in on 12 by 8 ft: 112 (34 and 22 to a side); the field keeps 10 ft 8 in by 6 ft 8 in
    laying = Laying(pattern="stack", borders=(BorderCourse(material=BRICK),), corners="butt")
    found = needed(terrace(rectangle(12, 8), laying))
    border = found[f"border:{BRICK}"]
    assert border.amount == 112
    assert found["task:lay-border"].amount == pytest.approx(40)
    # from the middle: 13 whole units and two ends along, 12 and two ends across
    assert found[f"finish:{COBBLE}"].amount == 15 * 14


def test_a_border_without_a_material_is_bought_with_the_field() -> None:
    laying = Laying(pattern="stack", borders=(BorderCourse(), BorderCourse(pattern="sailor")))
    found = needed(terrace(rectangle(12, 8), laying))
    parts = [found[f"{role}:{COBBLE}"] for role in ("finish", "border", "second border")]
    assert ordered(terrace(rectangle(12, 8), laying)) == pytest.approx(
        sum(one.amount * (1 + one.loss + one.keep) for one in parts)
    )


def test_what_cannot_be_laid_is_said_and_counted_by_area() -> None:
    job = terrace(rectangle(18, 12), Laying(pattern="basket"))
    one = needed(job)[f"finish:{COBBLE}"]
    assert one.amount == pytest.approx(576)
    assert one.loss == pytest.approx(0.07)
    (said,) = [found for found in requirements(job, yards.basis())[1] if found.rule == "pattern-not-laid"]
    assert "gaps of 3 in" in said.what
    assert said.severity is Severity.WARN


def test_a_unit_without_a_size_is_said() -> None:
    basis = yards.basis()
    unsized = replace(basis, materials={**basis.materials, COBBLE: replace(basis.materials[COBBLE], length="")})
    _, findings = requirements(terrace(rectangle(18, 12), Laying()), unsized)
    assert any("no length and width" in one.what for one in findings)


def test_a_mix_of_sizes_is_said_by_size() -> None:
    # 15 in of course: one of 9 by 6 and one of 6 by 6; 15 ft by 10 ft are 12 to a course, 20 courses, 10 of them shifted
    _, findings = requirements(terrace(rectangle(15, 10), Laying(pattern="two-size")), yards.basis())
    (said,) = [one for one in findings if one.rule == "laying-mixed-sizes"]
    assert "of 9 × 6 in" in said.measured
    assert "of 6 × 6 in" in said.measured
    assert said.severity is Severity.NOTE


def test_fans_that_open_are_said() -> None:
    _, findings = requirements(terrace(circle(5), Laying(borders=(BorderCourse(),))), yards.basis())
    assert [one.rule for one in findings if one.rule == "laying-fan-opens"]
    _, findings = requirements(terrace(circle(60), Laying(borders=(BorderCourse(),))), yards.basis())
    assert not [one.rule for one in findings if one.rule == "laying-fan-opens"]


def test_an_edit_lays_only_the_zone_it_touched() -> None:
    job = yards.empty()
    for number in range(12):
        outline = rectangle(9 + number / 10, 7.3, at=(number * 15, 40))
        job = yards.with_zone(job, f"Z{number}", outline, assembly="unit-pavers")
    job = replace(job, works=tuple(replace(work, laying=Laying()) for work in job.works))
    basis = yards.basis()
    estimate(job, basis)
    before = layings_made()
    changed = replace(job.alternatives[3], outline=rectangle(10.77, 7.3, at=(45, 40)))
    others = [changed if one.id == changed.id else one for one in job.alternatives]
    estimate(replace(job, alternatives=tuple(others)), basis)
    assert layings_made() == before + 1


def test_a_door_elsewhere_lays_nothing_anew() -> None:
    job = terrace(rectangle(11.3, 7.7), Laying())
    estimate(job, yards.basis())
    before = layings_made()
    far = replace(job, site=replace(job.site, openings=(Opening(title="Garage", x=200, y=200),)))
    estimate(far, yards.basis())
    assert layings_made() == before
    near = replace(job, site=replace(job.site, openings=(Opening(title="Kitchen", x=3, y=0),)))
    estimate(near, yards.basis())
    assert layings_made() == before + 1


def test_an_order_of_laid_units_is_explained() -> None:
    basis = yards.basis()
    priced = replace(basis, prices={**basis.prices, COBBLE: Price(material=COBBLE, unit_price=Decimal(1))})
    job = terrace(rectangle(18, 12), Laying(pattern="stack"))
    line = next(one for one in estimate(job, priced).lines if one.key == COBBLE)
    wanted = explain(job, priced, line.figure).steps[0]
    assert "The larger is ordered" in wanted.source
    assert wanted.result == pytest.approx(576 * 1.05 + 576 * 0.02)
    assert "ordered beyond what is laid" in wanted.expression


def test_a_border_is_no_layer_of_its_own_and_no_finish_to_choose() -> None:
    basis = yards.basis()
    job = terrace(rectangle(12, 8), Laying(pattern="stack", borders=(BorderCourse(material=BRICK),)))
    assert not [one for one in check(job, basis) if one.rule == "finish-open" and "border" in one.what]
    (work,) = [one for sheet in crew_sheets(job, basis) for one in sheet.works if one.laid]
    assert len([layer for layer in work.layers if "paver" in layer.title.lower()]) == 1


SQUARE, LONG = f"{COBBLE}-square", f"{COBBLE}-long"


def test_sizes_of_a_mixed_pattern_are_bought_as_their_own_materials_by_count() -> None:
    """Courses of one 9 in unit and one 6 in square: on 15 by 12 ft, 24 courses of 12 pairs. Source: counting by hand.

    Every second course begins half a width on, so that some pieces at the ends are cut.
    """
    mixed = Laying(pattern="two-size", start=(0, 0), angle=0)
    job = terrace(rectangle(15, 12), mixed)
    apart = terrace(rectangle(15, 12), replace(mixed, other_sizes=(SQUARE,)))
    one, two = needed(job), needed(apart)
    assert f"second size:{SQUARE}" not in one
    large, square = two[f"finish:{COBBLE}"].amount, two[f"second size:{SQUARE}"].amount
    assert 288 <= large <= 288 + 24
    assert 288 <= square <= 288 + 24
    assert one[f"finish:{COBBLE}"].amount == pytest.approx(large + square * 36 / 54)


def test_three_sizes_are_counted_apart_or_with_the_field_whichever_was_chosen() -> None:
    mixed = Laying(pattern="three-size", start=(0, 0), angle=0)
    both = needed(terrace(rectangle(18, 13.5), replace(mixed, other_sizes=(SQUARE, LONG))))
    long_only = needed(terrace(rectangle(18, 13.5), replace(mixed, other_sizes=("", LONG))))
    assert long_only[f"third size:{LONG}"].amount == both[f"third size:{LONG}"].amount > 0
    assert f"second size:{SQUARE}" not in long_only
    squares = both[f"second size:{SQUARE}"].amount
    assert long_only[f"finish:{COBBLE}"].amount == pytest.approx(both[f"finish:{COBBLE}"].amount + squares * 36 / 54)


def test_sizes_bought_apart_cover_the_same_ground() -> None:
    """Custom: 10 % beyond the area in mixed sizes, each size by its share of the ground."""
    job = terrace(rectangle(40, 30), Laying(pattern="two-size", other_sizes=(SQUARE,)))
    area = ordered(job) * 54 / 144 + ordered(job, material=SQUARE) * 36 / 144
    assert area == pytest.approx(1200 * 1.10 + 1200 * 0.02, rel=0.01)


def test_note_about_the_mix_goes_once_every_size_has_its_material() -> None:
    def notes(sizes):
        job = terrace(rectangle(18, 12), Laying(pattern="three-size", other_sizes=sizes))
        return [one.rule for one in requirements(job, yards.basis())[1] if one.rule == "laying-mixed-sizes"]

    assert notes(()) == notes(("", LONG)) == ["laying-mixed-sizes"]
    assert notes((SQUARE, LONG)) == []


def test_unit_of_another_size_than_the_pattern_wants_is_refused_with_both_sizes() -> None:
    job = terrace(rectangle(18, 12), Laying(pattern="two-size", other_sizes=(BRICK,)))
    (found,) = [one for one in requirements(job, yards.basis())[1] if one.rule == "pattern-not-laid"]
    assert "takes 6 × 6 in there" in found.what
    assert "is 8 × 4 in" in found.what


def test_other_sizes_of_a_pattern_with_one_size_are_none() -> None:
    job = terrace(rectangle(18, 12), Laying(pattern="stack", other_sizes=(SQUARE, LONG)))
    assert not any(name.startswith(("second size", "third size")) for name in needed(job))


def test_no_point_asks_for_the_finish_of_another_size_or_a_border() -> None:
    for laying in (None, Laying(pattern="two-size", other_sizes=(SQUARE,), borders=(BorderCourse(),))):
        job = terrace(rectangle(18, 12), laying, finish=COBBLE)
        asked = [one.what for one in check(job, yards.basis()) if "is not chosen" in one.what]
        assert not any("size" in words or "border" in words for words in asked)
