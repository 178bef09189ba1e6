"""What closed jobs make of a share that is lost: by hand, the two ways apart, and never lowered by few."""

from dataclasses import replace
from datetime import date
from random import Random

import pytest

from app.domain.basis import LearnedWaste, Material
from app.domain.looking_back.explain_waste import explain_waste
from app.domain.looking_back.waste import MaterialJob, WasteLesson, Way, lesson, lessons

BASE = Material(key="base", title="Crushed stone", role="base stone", buy="ton", loss=0.05)
TODAY = date(2027, 6, 1)


def job(lost: float, number: int = 1, measured: float = 40.0, planned: float = 0.05) -> MaterialJob:
    """A job on which so much was lost, of which four bought units were left and two went back."""
    came = measured * (1 + lost) + 4.0 + 2.0 - 1.0
    return MaterialJob(
        job_id=f"id-{number}", number=number, measured=measured, planned=planned, came=came, beside=1.0, returned=2.0,
        left_over=4.0,
    )  # fmt: skip


def told(*jobs: MaterialJob, way: Way = Way.MEASURED, material: Material = BASE) -> WasteLesson:
    found = lesson(material, way, jobs)
    assert found is not None
    return found


def took(found: WasteLesson) -> Material:
    return replace(found.material, **dict(found.fields(TODAY)))


def test_what_went_in_by_hand() -> None:
    """40 tons measured; 46 came whole, 1 was bought beside, 2 went back, 3 are left: 42 went in, 5 % more."""
    one = MaterialJob(
        job_id="a", number=1, measured=40, planned=0.08, came=46, beside=1, returned=2, left_over=3, counted_on=TODAY
    )
    assert (one.went_in, one.lost) == (42, 0.05)


def test_three_jobs_by_hand() -> None:
    """Believed 5 %, all lost 10 %: tau = 0.02; sigma² = (4 x 0.04² + 2 x 0) / 6; Z = 3 / (3 + sigma² / tau²).

    The weight is Bühlmann's n / (n + k), as a published formula says it; the figures are worked by hand.
    """
    found = told(*(job(0.10, number) for number in (1, 2, 3)))
    k = (4 * 0.04**2 / 6) / 0.02**2
    assert found.moved.rate_weight == pytest.approx(3 / (3 + k), abs=1e-6)
    assert found.after == pytest.approx(0.05 + 3 / (3 + k) * 0.05, abs=1e-4) == pytest.approx(0.0765, abs=1e-4)
    assert not found.thin
    assert took(found).loss == found.after


def test_one_job_moves_little_says_so_and_a_wild_one_no_further() -> None:
    """One job: Z = 1 / (1 + 0.04² / 0.02²) = 0.2; a wild one pulls at most 1.345 tau² / sigma."""
    found = told(job(0.07))
    assert found.after == pytest.approx(0.05 + 0.02 * 0.2, abs=1e-4)
    assert found.thin
    wild = told(job(0.90))
    assert wild.after - 0.05 <= 1.345 * 0.02**2 / 0.04 + 1e-4
    assert wild.jobs[0].counts < 0.1


@pytest.mark.parametrize("believed", [0.0, 0.05, 0.1, 0.15, 0.4])
def test_one_job_weighs_a_fifth_however_much_is_lost_of_a_material(believed: float) -> None:
    found = told(job(believed + 0.02), material=replace(BASE, loss=believed))
    assert found.moved.rate_weight == pytest.approx(0.2)


@pytest.mark.parametrize(("count", "held"), [(1, True), (2, True), (3, False)])
def test_fewer_than_three_jobs_never_lower_what_is_ordered(count: int, held: bool) -> None:
    found = told(*(job(0.0, number) for number in range(1, count + 1)))
    assert found.held is held
    assert (found.after == 0.05) is held
    assert found.can_be_taken is not held


def test_what_was_taken_counts_once_and_what_was_typed_since_stands_alone() -> None:
    held = [job(0.10, number) for number in (1, 2, 3)]
    material = took(told(*held))
    again = told(*held, material=material)
    assert again.taken
    assert again.after == material.loss, "taking it again and again goes nowhere"
    assert not told(*held, job(0.12, 4), material=material).taken
    typed = replace(material, loss=0.02)
    assert told(*held, material=typed).believed == 0.02


def test_units_laid_learn_beyond_their_cuts_and_apart_from_what_is_measured() -> None:
    """400 units laid with cuts, bid with 3 % beyond them; the crew took 8 %: cuts are in the 400 and not learned."""
    laid = told(*(job(0.08, number, 400.0, 0.03) for number in (1, 2, 3)), way=Way.LAID)
    assert (laid.now, laid.believed) == (None, 0.03), "until then the firm's custom is ordered"
    assert 0.03 < laid.after < 0.08
    material = took(laid)
    assert material.loss == BASE.loss, "what is measured by area keeps its own share"
    assert material.laid_beyond == LearnedWaste(
        share=laid.after, before=0.03, job_ids=("id-1", "id-2", "id-3"), job_numbers=(1, 2, 3),
        weight=round(laid.moved.rate_weight, 4), spread=round(laid.moved.spread, 4), on=TODAY,
    )  # fmt: skip
    assert lesson(BASE, Way.RECIPE, [job(0.1)]) is None, "a recipe's own loss is not the material's"


def test_nothing_is_told_without_an_amount_and_the_farthest_stands_first() -> None:
    assert lesson(BASE, Way.MEASURED, [job(0.1, measured=0.0)]) is None
    other = replace(BASE, key="sand", title="Sand")
    held = {("base", Way.MEASURED): [job(0.06)], ("sand", Way.MEASURED): [job(0.20)], ("gone", Way.LAID): [job(0.2)]}
    assert [one.material.key for one in lessons({"base": BASE, "sand": other}, held)] == ["sand", "base"]


@pytest.mark.parametrize("truth", [0.02, 0.12, 0.20])
def test_many_jobs_find_the_truth_they_were_made_with_whatever_a_few_wild_ones_say(truth: float) -> None:
    """Simulated: forty jobs that lose the truth within 3 %, and four on which somebody lost count."""
    chance = Random(7)
    jobs = [job(chance.gauss(truth, 0.03), number) for number in range(40)]
    wild = [job(0.9, 100 + number) for number in range(4)]
    assert told(*jobs).after == pytest.approx(truth, abs=0.012)
    assert told(*jobs, *wild).after == pytest.approx(truth, abs=0.025)
    assert told(*jobs[:2]).after < 0.05 + abs(truth - 0.05) / 2 + 0.01, "two jobs go less than half the way"


@pytest.mark.parametrize("what", ["share", "lost", "weight", "spread"])
def test_every_figure_comes_with_its_jobs(what: str) -> None:
    found = told(job(0.10), job(0.12, 2))
    trace = explain_waste(found, what, lambda one: f"job {one.job.number}")
    assert trace is not None
    shown = {"share": found.after, "lost": found.lost, "weight": found.moved.rate_weight, "spread": found.moved.spread}
    assert trace.result == pytest.approx(shown[what] * 100)
    assert explain_waste(found, "moon", str) is None
