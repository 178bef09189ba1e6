"""The demo is a firm one could work for: everything priced, sums exact, outlines that fit, nothing private let out."""

import asyncio
from collections.abc import Iterator, Mapping
from html import unescape
from io import BytesIO
from itertools import combinations
from uuid import UUID

import pypdf
import pytest

from app.config import Settings
from app.domain.basis import CostClass
from app.domain.checks.engine import open_points
from app.domain.checks.readiness import ready_to_sign
from app.domain.errors import OutlayError
from app.domain.plan.measures import area
from app.domain.plan.outline import chords
from app.domain.units import format_money
from app.interchange.library_file import load_library
from app.services import jobs, kept_papers, proposals, revisions
from app.services.billed import job_money
from app.services.edges import edges_of
from app.services.first_call import first_call
from app.services.home import home
from app.services.measured_ground import measured_ground
from app.services.office import Office, open_office
from app.services.sheets import Sheet, sheet
from seed_demo import load_if_empty
from seed_demo.telling import read_data
from tests.conftest import TestClock
from tests.demo_made import demo_copied
from tests.web.conftest import Browser


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    """An office with the demo in it, as it is loaded into an empty one."""
    library = load_library()
    data = demo_copied(tmp_path_factory.mktemp("demo") / "data")
    office = open_office(Settings(data=data), library.basis(), cautions=library.cautions)
    yield office
    office.database.close()


@pytest.fixture(scope="module")
def jobs_by_name(demo: Office) -> Mapping[str, Sheet]:
    listed = home(demo)
    lines = (*listed.overdue, *listed.soon, *listed.later, *listed.undated)
    sheets = [sheet(demo, UUID(str(line.job_id))) for line in lines]
    return {one.job.client.name.split()[-1]: one for one in sheets}


@pytest.fixture
def whitlock(jobs_by_name) -> Sheet:
    return jobs_by_name["Whitlock"]


def test_demo_in_a_used_office_changes_nothing(demo):
    before = home(demo)
    assert load_if_empty(demo) is False
    assert home(demo) == before


def test_demo_days_next_steps_have_an_overdue_call_and_a_visit_this_week(demo):
    listed = home(demo)
    assert [line.next_step for line in listed.overdue] == ["Call about the range and fix a day to tape"]
    assert "Visit and measure" in [line.next_step for line in listed.soon]


def test_book_every_material_of_the_library_has_a_price_and_no_other(demo):
    prices, materials = demo.basis().prices, demo.basis().materials
    assert len(prices) >= 150
    assert prices.keys() == materials.keys()
    assert all(price.unit_price > 0 for price in prices.values())
    assert {price.supplier for price in prices.values()} == demo.basis().suppliers.keys()
    today = demo.clock().date()
    assert all(price.priced_on <= today < price.valid_until for price in prices.values())


def test_undo_of_the_books_newest_change_takes_back_one_price_and_not_the_book(demo):
    assert jobs.undo_words(demo, None) == "Priced again: Crushed limestone, dove, 3/8 in"
    assert str(demo.basis().prices["gravel-dove"].unit_price) == "61.00"


def test_firm_in_the_demo_is_marked_invented(demo):
    firm = demo.firm()
    assert "(demo)" in firm.license
    assert "invented" in firm.terms.reviewed_by
    assert "no legal advice" in firm.terms.text


@pytest.mark.parametrize("name", ["Whitlock", "Asante", "Lindqvist"])
def test_price_every_sum_of_the_demo_is_exact(jobs_by_name, name):
    worked = jobs_by_name[name].estimate
    sums = (worked.price_by_zone, worked.price_by_phase, worked.price_by_class, worked.price_by_work)
    assert [sum(one.values()) for one in sums] == [worked.price_cents] * 4
    assert sum(step.cents for step in worked.build_up.steps) == worked.price_cents
    assert all(sum(step.shares) == step.cents for step in worked.build_up.steps)
    assert worked.build_up.cost_cents + worked.build_up.step("profit").cents > 0


@pytest.mark.parametrize("name", ["Whitlock", "Asante", "Lindqvist"])
def test_range_rests_on_direct_cost_and_on_no_allowance(jobs_by_name, name):
    worked = jobs_by_name[name].estimate
    likely = sum(group.likely for group in worked.inputs.groups.values())
    assert likely == pytest.approx(worked.build_up.step("direct").cents, rel=0.001)
    assert worked.range.low < worked.range.likely < worked.range.high


def test_bar_of_a_job_without_zones_shows_its_early_range(demo, jobs_by_name):
    view = jobs_by_name["Lindqvist"]
    total = first_call(demo, view).total
    page = Browser(demo).get(f"/jobs/{view.job.head.id}/client")
    assert page.status_code == 200
    assert f"{format_money(total.low)} to {format_money(total.high)}" in page.text
    assert total.low > 4 * view.estimate.range.high  # the job's own hours alone are no price of a yard


def test_proposal_prints_every_allowance_that_is_in_the_price(demo, whitlock):
    offer = proposals.next_draft(demo, whitlock).offer
    assert sum(one.cents for one in offer.allowances) == whitlock.estimate.price_by_class[CostClass.ALLOWANCE]
    assert "Built-in grill" in [one.title for one in offer.allowances]


def test_proposal_reads_surfaces_first_and_says_the_same_thing_once(demo, whitlock):
    offer = proposals.next_draft(demo, whitlock).offer
    pages = {page.title: [(item.title, item.count) for item in page.items] for page in offer.zones}
    assert pages["Dining terrace"][0] == ("Plank pavers on compacted stone", 1)
    assert ("Path light", 4) in pages["Stepping path"]
    assert ("Step lights", 2) in pages["Garden steps"]
    assert offer.notices


def test_whitlock_is_firm_within_the_budget_and_nothing_stops(whitlock):
    job, worked = whitlock.job, whitlock.estimate
    points = open_points(job, whitlock.basis, worked)
    assert worked.firm
    ready = ready_to_sign(points, job)
    assert ready.ready
    assert [one.rule for one in ready.stops] == ["call-before-you-dig"]  # stops the crew on the day, not the signing
    assert ready.not_checked == ()
    assert job.head.budget_low_cents <= worked.price_cents <= job.head.budget_high_cents


def test_whitlock_has_two_phases_ten_zones_each_met_need_and_every_edge_decided(whitlock):
    job = whitlock.job
    assert len(job.zones) == 10
    assert len(job.phases) == 2
    assert {zone.phase_id for zone in job.zones} == {phase.id for phase in job.phases}
    assert all(need.zone_ids for need in job.needs)
    assert all(zone.words for zone in job.zones)
    undecided = [
        (zone.title, line.title) for zone in job.zones for line in edges_of(whitlock.opened, zone) if line.must_decide
    ]
    assert undecided == []


@pytest.mark.parametrize("name", ["Whitlock", "Asante"])
def test_outlines_of_the_demo_fit_together(jobs_by_name, name):
    """Checked with the geometry library on fine chords: no zone lies on another or under the house; all on the lot."""
    job = jobs_by_name[name].job
    shapes = {zone.letter: chords(job.chosen(zone).outline).polygon for zone in job.zones}
    for (one, first), (other, second) in combinations(shapes.items(), 2):
        assert first.intersection(second).area < 0.01, (one, other)
    house, lot = chords(job.site.house).polygon, chords(job.site.lot).polygon
    assert all(shape.intersection(house).area < 0.01 for shape in shapes.values())
    assert all(lot.covers(shape) for shape in shapes.values())


@pytest.mark.parametrize("name", ["Whitlock", "Asante"])
def test_what_stands_at_a_point_lies_in_its_zone(jobs_by_name, name):
    from shapely.geometry import Point

    job = jobs_by_name[name].job
    shapes = {zone.id: chords(job.chosen(zone).outline).polygon for zone in job.zones}
    astray = [one.title for one in job.features if not shapes[one.zone_id].covers(Point(one.x, one.y))]
    assert astray == []


def test_whitlock_unit_costs_are_what_such_work_plausibly_costs(whitlock):
    """Bands by common practice, no source: what a client of such a firm would expect to hear."""
    job, worked = whitlock.job, whitlock.estimate
    by_work = {(work.assembly, work.place_id): worked.price_by_work.get(str(work.id), 0) / 100 for work in job.works}
    terrace = next(zone for zone in job.zones if zone.title == "Dining terrace")
    own = job.chosen(terrace)
    assert 25 <= by_work["unit-pavers-medium", own.id] / area(own.outline) <= 40
    seat = next(run for run in job.runs if run.title.startswith("Seat wall"))
    assert 150 <= by_work["seat-wall", seat.id] / 16 <= 300
    fire = sum(price for (key, _), price in by_work.items() if key == "fire-gas")
    gas = next(run for run in job.runs if run.title == "Gas to the fire")
    assert 6_000 <= fire + by_work["gas-run", gas.id] <= 12_000


def test_signed_copy_stands_beside_a_newer_draft_and_lets_nothing_private_out(demo, whitlock):
    found = revisions.of_job(demo, whitlock.job.head.id)
    if not found:
        pytest.skip("The proposal could not be printed here: Pango is missing.")
    one = found[0]
    assert one.state == "signed"
    signed = [signer.name for signer in one.signers if signer.signed_at]
    assert signed == ["Linnea Whitlock", "Joss Whitlock", "Maren Oduya"]
    assert one.price_cents != whitlock.estimate.price_cents
    assert whitlock.opened.counter > one.job_counter
    said = _text(revisions.hand_out(demo, one.id, "signed"))
    assert "27 Quarry Bend" in said
    book = read_data("book")
    private = [
        whitlock.job.client.private_note,
        whitlock.job.head.private_note,
        *(
            supplier["title"].split()[0]
            for supplier in book["supplier"].values()
            if supplier["title"] != "Trades and fees, by quote"
        ),
        "margin",
        "markup",
        "profit",
        "hourly",
        "wage",
    ]
    assert [words for words in private if words.lower() in said.lower()] == []


def test_first_payment_is_billed_and_paid(demo, whitlock):
    found = job_money(demo, whitlock)
    if found.contract is None:
        pytest.skip("The proposal could not be printed here: Pango is missing.")
    assert [(one.number, row.state) for one, row in zip(found.invoices, found.account.rows, strict=True)] == [
        (1, "paid")
    ]
    assert found.account.balance_cents == 0
    assert [row.state for row in found.milestones[:2]] == ["paid", "not reached"]


def _text(pdf: bytes) -> str:
    return " ".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(pdf)).pages)


def test_demo_without_print_is_complete_but_unsigned(tmp_path, monkeypatch, capsys):
    async def refuse(*_: object, **__: object) -> None:
        raise OutlayError("Pango is missing.")

    monkeypatch.setattr("seed_demo.agreement.proposals.offer", refuse)
    library = load_library()
    office = open_office(Settings(data=tmp_path), library.basis(), TestClock(), library.cautions)
    assert load_if_empty(office)
    assert "Not everything was signed" in capsys.readouterr().out
    listed = home(office)
    assert len((*listed.overdue, *listed.soon, *listed.later, *listed.undated)) == 3
    office.database.close()


def test_pictures_of_the_demo_are_drawings_and_say_so(demo, whitlock):
    photos = whitlock.job.photos
    assert len(photos) == 4
    assert all("(a drawing)" in one.caption and one.when == "before" and one.place for one in photos)
    browser = Browser(demo)
    for one in photos:
        for address in (
            f"/jobs/{whitlock.job.head.id}/photos/{one.id}",
            f"/jobs/{whitlock.job.head.id}/photos/{one.id}/small",
        ):
            assert browser.get(address).headers["content-type"].startswith("image/")


def test_one_design_agreement_is_signed(demo, jobs_by_name):
    asante = jobs_by_name["Asante"].job
    (signed,) = revisions.of_job(demo, asante.head.id)
    assert (signed.kind, signed.state, signed.price_cents) == ("design agreement", "signed", 185_000)
    assert asante.head.stage == "design"


def test_yard_of_the_demo_is_measured_with_one_tape_left_out_and_levels_that_close(whitlock):
    measured = measured_ground(whitlock)
    assert len(measured.marks) >= 10
    assert all(line.at is not None and line.level is not None for line in measured.marks)
    assert measured.bad == ()
    (left_out,) = [tape for line in measured.marks for tape in line.tapes if tape.left_out]
    assert left_out.fits.endswith("long")
    assert "What was read twice agrees" in measured.levels_said
    open_rules = {one.rule for one in whitlock.findings}
    assert not open_rules & {"tapes-disagree", "mark-without-place", "levels-do-not-close", "levels-contradict"}
    # the terrace's lower corner was taped where the plan draws it, within an inch
    (corner,) = [line for line in measured.marks if line.name == "P1"]
    assert corner.at == pytest.approx((22, 28), abs=1 / 12)
    terrace = next(line for line in measured.grounds if line.zone.title == "Dining terrace")
    assert terrace.finish.ground is not None
    assert terrace.finish.runs_to == "south"


def test_every_page_of_year_three_answers_something_of_the_finished_yard(demo):
    asyncio.run(kept_papers.read_papers(demo))
    here = Browser(demo)
    for page, said in {
        "hours": "Lay pavers, straight patterns",
        "margins": "Side yard, 11 Weir Lane",
        "wins": "Teodor Asante",
        "calls": "The ground settled",
        "crews": "The first week with a day free",
        "addresses?search=Hallam": "11 Weir Lane",
        "prices": "Priced again",
    }.items():
        answer = here.get(f"/firm/known/{page}")
        assert answer.status_code == 200, page
        assert said in unescape(answer.text), page
    (line,) = closed_jobs(demo)
    assert "HK-2214" in here.get(f"/firm/known/addresses?search=Hallam&job={line.job_id}").text
    learned = here.get("/firm/taught")
    assert "Lay pavers, straight patterns" in learned.text
    assert "Clay paver, ember" in here.get("/firm/waste").text


def closed_jobs(office: Office) -> list:
    listed = home(office, closed=True)
    return [*listed.overdue, *listed.soon, *listed.later, *listed.undated]


def test_finished_yard_was_signed_bought_for_and_built_in_that_order(demo):
    (line,) = closed_jobs(demo)
    view = sheet(demo, UUID(str(line.job_id)))
    (signed,) = (one for one in revisions.of_job(demo, view.job.head.id) if one.state == "signed")
    sent = [one.sent_on for one in view.job.supply_orders]
    worked = [one.day for one in view.job.logged_hours]
    assert signed.signers[0].signed_at[:10] < str(min(sent))
    assert max(sent) < min(worked)
    assert max(worked) < view.job.handed_over[0].day
    batches = {line.batch for came in view.job.deliveries for line in came.lines}
    assert {"HK-2214", "PL-0631"} <= batches
