"""Options and packages: made and priced on our sheet, ticked and initialed at the table, frozen when offered."""

import io
import re
from uuid import UUID, uuid4

import pytest
from pypdf import PdfReader

from app.documents.pdf import pdf_available
from app.domain.costing.estimate import estimate
from app.domain.job import Need
from app.domain.job.choosing import ticked, with_package
from app.domain.plan.shapes import rectangle
from app.services import jobs, zones
from app.services.explaining import explained
from app.services.office import Office
from app.services.sheets import sheet
from tests.offering import consents, offer, order, sign
from tests.web.conftest import Browser
from tests.web.yard import text_of


@pytest.fixture
def web(stocked: Office, ready: UUID) -> Browser:
    return Browser(stocked)


def with_a_bed(office: Office, job_id: UUID) -> UUID:
    """A second zone, taped, and the job at a firm price."""
    bed = zones.NewZone(
        title="Long bed",
        kind="planting",
        outline=rectangle(4, 30, at=(40, 0)),
        measured="taped",
        assembly="planting-bed",
    )
    return zones.add_zone(office, job_id, bed, order())


def job_of(office: Office, job_id: UUID):
    return jobs.open_job(office, job_id).job


def make_option(web: Browser, job_id: UUID, *ids: UUID, title: str = "") -> UUID:
    sent = {"thing_ids": [str(one) for one in ids], "title": title}
    assert web.post(f"/jobs/{job_id}/choices/option/new", sent).status_code == 303
    return job_of(web.office, job_id).options[-1].id


def make_package(web: Browser, job_id: UUID, title: str) -> UUID:
    assert web.post(f"/jobs/{job_id}/choices/package/new", {"title": title}).status_code == 303
    return job_of(web.office, job_id).packages[-1].id


def price(office: Office, job_id: UUID) -> int:
    return sheet(office, job_id).estimate.price_cents


def money(cents: int) -> str:
    return f"${cents // 100:,}"


def test_what_becomes_an_option_stays_in_the_price_until_its_tick_is_taken_out(
    web: Browser, stocked: Office, ready: UUID
) -> None:
    before = price(stocked, ready)
    zone = job_of(stocked, ready).zones[0]
    option = make_option(web, ready, zone.id)
    assert price(stocked, ready) == before
    web.post(f"/jobs/{ready}/choices/option/{option}/tick", {"taken": ""})
    without = price(stocked, ready)
    assert without < before
    page = web.get(f"/jobs/{ready}/choices").text
    assert f"+{money(before - without)}" in text_of(page)
    trace = explained(stocked, sheet(stocked, ready), f"option:{option}")
    assert [round(one.result * 100) for one in trace.steps] == [before, without]
    web.post(f"/jobs/{ready}/undo", {"sheet": "choices"})
    assert price(stocked, ready) == before


@pytest.mark.parametrize(
    ("ids", "sentence"),
    [
        ("", "Tick what the option is"),
        ("zone way", "Make two options of it"),
        ("chosen", "This way is the chosen one"),
    ],
)
def test_an_option_that_is_none_is_a_sentence(
    web: Browser, stocked: Office, ready: UUID, ids: str, sentence: str
) -> None:
    way, job = another_way(stocked, ready), job_of(stocked, ready)
    known = {"zone": job.zones[0].id, "way": way, "chosen": job.chosen(job.zones[0]).id}
    answer = web.post(f"/jobs/{ready}/choices/option/new", {"thing_ids": [str(known[one]) for one in ids.split()]})
    assert answer.status_code == 422
    assert sentence in text_of(answer.text)
    assert job_of(stocked, ready).options == ()


def test_nothing_is_part_of_two_options(web: Browser, stocked: Office, ready: UUID) -> None:
    zone = job_of(stocked, ready).zones[0].id
    make_option(web, ready, zone)
    answer = web.post(f"/jobs/{ready}/choices/option/new", {"thing_ids": [str(zone)]})
    assert (answer.status_code, len(job_of(stocked, ready).options)) == (422, 1)


def another_way(office: Office, job_id: UUID, title: str = "In gravel") -> UUID:
    zone = job_of(office, job_id).zones[0]
    zones.copy_alternative(office, job_id, zone.id, title, order())
    way = next(one for one in job_of(office, job_id).alternatives if one.title == title)
    own = next(one for one in job_of(office, job_id).works if one.place_id == way.id)
    removed = jobs.removal(jobs.open_job(office, job_id), "work", own.id)
    jobs.save(office, job_id, removed, order())
    zones.add_work(office, job_id, own.place, way.id, "gravel-surface", order())
    return way.id


def test_of_two_ways_of_one_zone_one_is_ticked(web: Browser, stocked: Office, ready: UUID) -> None:
    first, second = (make_option(web, ready, another_way(stocked, ready, title)) for title in ("In gravel", "In fines"))
    for option in (first, second):
        web.post(f"/jobs/{ready}/choices/option/{option}/tick", {"taken": "1"})
    assert [one.taken for one in job_of(stocked, ready).options] == [False, True]


def test_the_client_ticks_with_initials_and_the_total_follows(web: Browser, stocked: Office, ready: UUID) -> None:
    option = make_option(web, ready, with_a_bed(stocked, ready), title="The bed")
    web.post(f"/jobs/{ready}/face")
    here = f"/show/{ready}/options"
    covered = web.get(here).text
    assert "The bed" in covered
    assert "$" not in text_of(covered)
    bare = web.post(f"{here}/{option}", {"taken": "", "lift": "1"}, htmx=True)
    assert bare.status_code == 422
    assert "Type your initials here" in text_of(bare.text)
    answer = web.post(f"{here}/{option}", {"taken": "", "initials": "jw", "lift": "1"}, htmx=True)
    assert answer.status_code == 200
    assert "<html" not in answer.text
    view = sheet(stocked, ready)
    assert (view.job.options[0].taken, view.job.options[0].initials) == (False, "JW")
    assert money(view.estimate.price_cents) in text_of(answer.text)
    assert view.estimate.price_cents == estimate(ticked(view.job, option, taken=False), view.basis).price_cents
    again = web.post(f"{here}/{option}", {"taken": "1", "initials": "jw"}, follow=True)
    assert "$" not in text_of(again.text), "the price stays under its cover"
    assert not re.search("cost|margin|overhead", again.text)


def test_packages_are_priced_in_full_and_one_becomes_the_job_in_one_change(
    web: Browser, stocked: Office, ready: UUID
) -> None:
    way = another_way(stocked, ready)
    zone = job_of(stocked, ready).zones[0]
    whole, small = make_package(web, ready, "All of it"), make_package(web, ready, "The small one")
    sent = {"title": "The small one", "zone_ids": [str(zone.id)], "zone_ids.sent": "1", "way_ids": [str(way)]}
    assert web.post(f"/jobs/{ready}/choices/package/{small}", sent).status_code == 303
    view = sheet(stocked, ready)
    prices = [estimate(with_package(view.job, one), view.basis).price_cents for one in view.job.packages]
    assert prices[0] == view.estimate.price_cents > prices[1]
    said = text_of(web.get(f"/jobs/{ready}/choices").text)
    assert all(money(cents) in said for cents in prices)
    assert "as the job is" in said
    shown = text_of(web.get(f"/show/{ready}/options?lift=true").text)
    assert all(money(cents) in shown for cents in prices)
    before = view.job
    web.post(f"/jobs/{ready}/choices/package/{small}/take")
    assert price(stocked, ready) == prices[1]
    web.post(f"/jobs/{ready}/undo", {"sheet": "choices"})
    assert job_of(stocked, ready) == before
    assert whole == before.packages[0].id


def test_the_client_chooses_a_package_at_the_table(web: Browser, stocked: Office, ready: UUID) -> None:
    bed = with_a_bed(stocked, ready)
    whole = make_package(web, ready, "All of it")
    web.post(f"/jobs/{ready}/choices/zone/{bed}", {"left_out": "1"})
    small = price(stocked, ready)
    web.post(f"/jobs/{ready}/face")
    page = web.get(f"/show/{ready}/options?lift=true").text
    assert "This one" in page
    answer = web.post(f"/show/{ready}/packages/{whole}", {"lift": "1"}, htmx=True)
    assert answer.status_code == 200
    assert price(stocked, ready) > small
    assert money(price(stocked, ready)) in text_of(answer.text)
    assert "as it is now" in answer.text
    assert web.post(f"/show/{ready}/packages/{uuid4()}", htmx=True).status_code == 404


def test_three_packages_stand_side_by_side_and_no_fourth(web: Browser, stocked: Office, ready: UUID) -> None:
    for title in ("One", "Two", "Three"):
        make_package(web, ready, title)
    answer = web.post(f"/jobs/{ready}/choices/package/new", {"title": "Four"})
    assert answer.status_code == 422
    assert len(job_of(stocked, ready).packages) == 3


@pytest.mark.printed
@pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")
def test_offered_pages_print_what_is_ticked_and_what_is_not_and_hold_it(
    web: Browser, stocked: Office, ready: UUID
) -> None:
    zone = job_of(stocked, ready).zones[0]
    in_it = make_option(web, ready, zone.id, title="The terrace")
    beside = make_option(web, ready, another_way(stocked, ready), title="In gravel instead")
    web.post(f"/show/{ready}/options/{in_it}", {"taken": "1", "initials": "LW"})
    view = sheet(stocked, ready)
    one = offer(stocked, ready)
    pdf = web.get(f"/jobs/{ready}/revisions/{one.id}/offered.pdf").content
    said = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    for words in ("Ticked: in the price above", "The terrace", "LW", "Not ticked", "In gravel instead", "may still be"):
        assert words in said, words
    assert one.price_cents == view.estimate.price_cents
    web.post(f"/show/{ready}/options/{beside}", {"taken": "1", "initials": "LW"})
    page = text_of(web.get(f"/show/{ready}/sign/{one.id}").text)
    assert "offered again" in page
    consents(web, ready, one)
    sent = {"name": one.signers[0].name, "agree": "1", "place": "home", "strokes": "[[[10,10],[50,40],[80,12]]]"}
    assert web.post(f"/show/{ready}/sign/{one.id}", sent).status_code == 422
    web.post(f"/show/{ready}/options/{beside}", {"taken": "", "initials": "LW"})
    assert web.post(f"/show/{ready}/sign/{one.id}", sent).status_code == 303
    for signer in one.signers[1:]:
        sign(stocked, ready, one.id, signer.name)
    late = web.post(f"/show/{ready}/options/{in_it}", {"taken": "", "initials": "LW"})
    assert late.status_code == 422
    assert job_of(stocked, ready).options[0].taken


def budgeted(office: Office, job_id: UUID, cents: int) -> None:
    opened = jobs.open_job(office, job_id)
    fields = {"budget_low_cents": cents // 2, "budget_high_cents": cents}
    jobs.save(office, job_id, (jobs.changed("job", job_id, opened.version("job", job_id), fields),), order())


def test_budget_stands_against_the_price_with_the_next_thing_out(web: Browser, stocked: Office, ready: UUID) -> None:
    bed = with_a_bed(stocked, ready)
    zone = job_of(stocked, ready).zones[0]
    need = Need(id=uuid4(), words="A table for ten", must=True, zone_ids=(zone.id,))
    jobs.save(stocked, ready, (jobs.made("need", need),), order())
    budgeted(stocked, ready, price(stocked, ready) - 100_00)
    said = text_of(web.get(f"/jobs/{ready}/choices/next").text)
    for words in ("the price lies $100", "Next thing out: Long bed", "then it fits", "everything is in"):
        assert words in said, words
    for page in ("estimate", "client"):
        assert f'hx-get="/jobs/{ready}/choices/next"' in web.get(f"/jobs/{ready}/{page}").text
    trace = explained(stocked, sheet(stocked, ready), "next:out")
    web.post(f"/jobs/{ready}/choices/zone/{bed}", {"left_out": "1"})
    assert [round(one.result * 100) for one in trace.steps][1] == price(stocked, ready)
    after = text_of(web.get(f"/jobs/{ready}/choices/next").text)
    assert "Next thing in: Long bed" in after
    assert "passes the budget" in after


def test_best_set_is_shown_with_what_it_leaves_out_and_taken_in_one_change(
    web: Browser, stocked: Office, ready: UUID
) -> None:
    with_a_bed(stocked, ready)
    before, whole = job_of(stocked, ready), price(stocked, ready)
    budgeted(stocked, ready, whole - 50_00)
    here = f"/jobs/{ready}/choices"
    answer = web.post(f"{here}/best", {"budget": str((whole - 50_00) // 100)}, htmx=True)
    assert answer.status_code == 200
    said = text_of(answer.text)
    assert "No better one fits" in said
    assert "passes the budget" in said
    found = explained(stocked, sheet(stocked, ready), "best:price").result * 100
    assert money(round(found)) in said
    assert price(stocked, ready) == whole, "looking changes nothing"
    web.post(f"{here}/best/take")
    assert price(stocked, ready) == round(found) <= whole - 50_00
    web.post(f"/jobs/{ready}/undo", {"sheet": "choices"})
    assert job_of(stocked, ready).zones == before.zones
    assert web.post(f"{here}/best/take").status_code == 422, "the job was changed since"


@pytest.mark.parametrize(("typed", "sentence"), [("", "empty"), ("much", "much"), ("0", "at most")])
def test_a_budget_that_is_none_is_a_sentence(
    web: Browser, stocked: Office, ready: UUID, typed: str, sentence: str
) -> None:
    answer = web.post(f"/jobs/{ready}/choices/best", {"budget": typed})
    assert answer.status_code == 422
    assert sentence in text_of(answer.text)
    assert price(stocked, ready) > 0


def test_a_wish_keeps_how_much_it_counts(web: Browser, stocked: Office, ready: UUID) -> None:
    need = Need(id=uuid4(), words="Water you can hear", must=False)
    jobs.save(stocked, ready, (jobs.made("need", need),), order())
    assert 'name="weight"' in web.get(f"/jobs/{ready}/client?focus=need:{need.id}").text
    web.post(f"/jobs/{ready}/client/need/{need.id}", {"weight": "5"})
    assert next(one.weight for one in job_of(stocked, ready).needs if one.id == need.id) == 5
    assert web.post(f"/jobs/{ready}/client/need/{need.id}", {"weight": "9"}).status_code == 422


def test_an_allowance_says_what_is_in_it_and_how_it_settles(web: Browser, stocked: Office, ready: UUID) -> None:
    here = f"/jobs/{ready}/proposal"
    sent = {"title": "Bench", "cents": "900", "words": "A bench you choose", "covers": "bought", "markup": "12",
            "choose_by": "2027-05-03"}  # fmt: skip
    assert web.post(f"{here}/allowance/new", sent).status_code == 303
    one = job_of(stocked, ready).allowances[-1]
    assert (str(one.covers), str(one.markup), one.words) == ("bought", "0.12", "A bench you choose")
    for path in (here, f"{here}/draft"):
        said = text_of(web.get(path).text)
        assert "added with 12% on that part" in said
        assert "To be chosen by May 3, 2027." in said
    wrong = web.post(f"{here}/allowance/{one.id}", {"markup": "much"})
    assert wrong.status_code == 422
    assert 'value="much"' in wrong.text


def test_a_zone_that_is_out_says_so_on_the_plan_and_comes_back(web: Browser, stocked: Office, ready: UUID) -> None:
    bed, whole = with_a_bed(stocked, ready), price(stocked, ready)
    note = f"/jobs/{ready}/plan?focus=zone:{bed}"
    assert "Leave it out for now" in text_of(web.get(note).text)
    web.post(f"/jobs/{ready}/plan/zone/{bed}", {"left_out": "1"})
    said = text_of(web.get(note).text)
    for words in ("neither priced nor built", "not in the price", "Back into the price"):
        assert words in said, words
    assert "Long bed" not in text_of(web.get(f"/show/{ready}/places").text)
    assert "Long bed" not in text_of(web.get(f"/jobs/{ready}/proposal/draft").text)
    version = jobs.open_job(stocked, ready).version("zone", bed)
    web.post(f"/jobs/{ready}/plan/zone/{bed}", {"left_out": "", "version": str(version)})
    assert price(stocked, ready) == whole
    option = make_option(web, ready, bed)
    web.post(f"/jobs/{ready}/choices/option/{option}/tick", {"taken": ""})
    assert "An option that is not ticked" in text_of(web.get(note).text)
