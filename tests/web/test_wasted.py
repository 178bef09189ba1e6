"""Waste that jobs taught: counted at the end of a closed job, shown with its jobs, taken, undone, never by itself."""

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from uuid import UUID

import pytest

from app.domain.costing.estimate import estimate
from app.domain.job import Laying, Stage
from app.domain.takeoff.purchases import purchases
from app.domain.takeoff.requirements import requirements
from app.interchange.job_file import read_job_file
from app.services import kept_papers, revisions, wasted
from app.services.jobs import changed, open_job, save
from app.services.office import Office
from tests.signed_cheaply import read, signed, to_stage
from tests.stocked import begun_job, order, stocked_office
from tests.web.conftest import Browser
from tests.web.yard import text_of

STONE = "base-stone-34"
MEASURED = (
    9.975  # tons in place: 18 by 14 ft and 6 in beyond each edge is 285 sq ft; 6 in of it, at 140 lb a cubic foot
)
HERE = f"/firm/waste/measured/{STONE}"
DOOR = re.compile(r'class="door" href="([^"]+)"')


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


@pytest.fixture
def web(office: Office) -> Browser:
    return Browser(office)


def closed(web: Browser, lost: float, *, count: bool = True) -> UUID:
    """A closed job on which so much stone more than measured went in, a ton was left and half a ton went back."""
    office = web.office
    job_id = begun_job(office)
    signed(office, job_id)
    if count:
        came = MEASURED * (1 + lost) + 1.5
        told = {"day": office.clock().date().isoformat(), f"beside-{STONE}": f"{came:.6f}"}
        told |= {f"left_over-{STONE}": "1", f"returned-{STONE}": "0.5"}
        assert web.post(f"/jobs/{job_id}/orders/left/counted", told, htmx=True).status_code == 200
    to_stage(office, job_id, Stage.DONE)
    read(office)
    return job_id


def form_of(page: str) -> dict[str, str]:
    form = page.split(f'action="{HERE}"')[1].split("</form>", maxsplit=1)[0]
    return {name: unescape(value) for name, value in re.findall(r'name="(\w+)" value="([^"]*)"', form)}


def stone(office: Office, job_id: UUID) -> float:
    opened = open_job(office, job_id)
    bought, _ = purchases(requirements(opened.job, opened.basis)[0], opened.basis)
    return sum(one.wanted for one in bought if one.material == STONE)


def test_waste_is_counted_taken_used_and_undone_and_what_is_signed_keeps_its_own(web: Browser, office: Office) -> None:
    assert "No closed job says anything yet" in text_of(web.get("/firm/waste").text)
    draft = begun_job(office)
    ids = [closed(web, lost) for lost in (0.20, 0.22, 0.18)]
    before = office.basis().materials[STONE]
    assert (before.loss, before.learned) == (0.08, None), "nothing is taken by itself"
    was = stone(office, draft)
    page = web.get("/firm/waste").text
    assert "Not taken yet" in text_of(page)
    one = web.get(HERE).text
    assert "closed jobs alone say this" not in text_of(one)
    _, found = wasted.lesson_of(office, "measured", STONE)
    assert [round(told.job.lost, 2) for told in found.jobs] == [0.20, 0.22, 0.18]
    doors = {unescape(href) for href in DOOR.findall(page + one)}
    assert len(doors) >= 4
    assert [href for href in doors if web.get(href, headers={"hx-request": "true"}).status_code != 200] == []
    drafts = text_of(web.get(f"{HERE}/drafts").text)
    form = form_of(one)
    assert web.post(HERE, {**form, "mark": "other"}).status_code == 422
    assert web.post(HERE, form).status_code in (200, 303)
    after = office.basis().materials[STONE]
    assert after.loss == found.after > before.loss
    assert after.learned is not None
    assert after.learned.job_ids == tuple(str(job_id) for job_id in ids)
    assert stone(office, draft) == pytest.approx(was / 1.08 * (1 + found.after))
    opened = open_job(office, draft)
    assert f"{estimate(opened.job, opened.basis).price_cents // 100:,}" in drafts, "the page said what it would move"
    paper = signed_basis(office, ids[0])
    assert paper.materials[STONE].loss == 0.08, "what was signed keeps its own"
    assert web.post(HERE, form).status_code in (200, 303), "sent again it is the same change"
    assert "Taken already" in text_of(web.get("/firm/waste").text)
    assert "Lost: taken from your own jobs" in text_of(web.get(f"/library/material/{STONE}").text)
    assert len(web.get("/firm/waste/table.csv").content.decode("utf-8-sig").splitlines()) == 1 + len(ids)
    assert web.post("/firm/undo", {"back": HERE}).status_code == 303
    assert office.basis().materials[STONE].loss == 0.08


def test_units_laid_learn_beyond_their_cuts_and_go_back_to_custom(web: Browser, office: Office) -> None:
    """Stacked 6 by 9 in on 18 by 14 ft: 24 by 28 is 672 units without a cut; 706 went in, 5 % more."""
    paver, at = "paver-cobble-harvest", "/firm/waste/laid/paver-cobble-harvest"
    ids = [begun_job(office) for _ in range(3)]
    for job_id in ids:
        opened = open_job(office, job_id)
        work = next(one for one in opened.job.works if one.assembly == "unit-pavers")
        fields = {"laying": Laying(pattern="stack", start=(0, 0), angle=0)}
        save(office, job_id, (changed("work", work.id, opened.version("work", work.id), fields),), order())
    draft, *built = ids
    for job_id in built:
        signed(office, job_id)
        told = {"day": office.clock().date().isoformat(), f"beside-{paver}": "725.6", f"left_over-{paver}": "20"}
        assert web.post(f"/jobs/{job_id}/orders/left/counted", told, htmx=True).status_code == 200
        to_stage(office, job_id, Stage.DONE)
    read(office)
    _, found = wasted.lesson_of(office, "laid", paver)
    assert [(told.job.measured, round(told.job.lost, 2)) for told in found.jobs] == [(672.0, 0.05)] * 2
    assert found.believed == pytest.approx(0.05), "as custom ordered it on them"
    page = text_of(web.get(at).text)
    assert "Cuts are counted unit by unit" in page
    form = {"mark": found.mark, "version": "0"}
    assert web.post(at, form).status_code in (200, 303)
    learned = office.basis().materials[paver].laid_beyond
    assert learned is not None
    assert learned.share == found.after
    opened = open_job(office, draft)
    words = [one.order_words for one in requirements(opened.job, opened.basis)[0] if one.key == paver]
    assert "beyond them, as 2 closed jobs of our own showed" in words[0]
    assert web.post(f"{at}/back", {"version": "1"}).status_code in (200, 303)
    assert office.basis().materials[paver].laid_beyond is None
    assert web.post(f"{at}/back", {"version": "2"}).status_code == 404


def signed_basis(office: Office, job_id: UUID):
    (one,) = revisions.of_job(office, job_id)
    return read_job_file(kept_papers.files_of(office).read(one.files["job"])).basis


def test_few_jobs_say_so_and_never_lower_and_uncounted_ones_teach_nothing(web: Browser, office: Office) -> None:
    closed(web, 0.0)
    page = text_of(web.get(HERE).text)
    assert "One closed job alone says this" in page
    assert "Fewer than three never lower what is ordered" in page
    _, found = wasted.lesson_of(office, "measured", STONE)
    told = {"mark": found.mark, "version": "0"}
    answer = web.post(HERE, told, htmx=True)
    assert answer.status_code == 422
    assert "never lower what is ordered" in text_of(answer.text)
    closed(web, 0.0, count=False)
    assert len(wasted.lesson_of(office, "measured", STONE)[1].jobs) == 1
    assert web.get("/firm/waste/measured/moon").status_code == 404
    assert web.get("/firm/waste/why/moon:measured:base-stone-34").status_code == 404


def test_a_count_that_cannot_be_is_refused_with_what_was_typed_and_taken_out_with_undo(
    web: Browser, office: Office
) -> None:
    job_id = begun_job(office)
    signed(office, job_id)
    home, today = f"/jobs/{job_id}/orders/left", office.clock().date().isoformat()
    for told, words in (
        ({"day": today}, "Nothing is counted"),
        ({"day": today, f"left_over-{STONE}": "a heap"}, "“a heap” is no number"),
        ({"day": today, f"left_over-{STONE}": "3", f"beside-{STONE}": "2"}, "3 went back or is left, and 2 came"),
        ({"day": "2031-01-01", f"left_over-{STONE}": "0"}, "has not been yet"),
    ):
        answer = web.post(f"{home}/counted", told, htmx=True)
        assert answer.status_code == 422, told
        assert words in text_of(answer.text)
        assert all(f'value="{typed}"' in answer.text for typed in told.values())
    assert web.post(f"{home}/counted", {"day": today, f"left_over-{STONE}": "0"}, htmx=True).status_code == 200
    (one,) = open_job(office, job_id).job.counted_materials
    assert (one.material, one.left_over) == (STONE, 0.0), "0 says that nothing is left"
    assert web.post(f"{home}/{STONE}/take-out", {}, htmx=True).status_code == 200
    assert open_job(office, job_id).job.counted_materials == ()


def test_the_crew_counts_on_its_phone_what_the_office_then_reads(web: Browser, office: Office) -> None:
    job_id = begun_job(office)
    signed(office, job_id)
    home, today = f"/field/{job_id}/left", office.clock().date().isoformat()
    web.post("/field/language", {"language": "es", "back": home})
    page = web.get(home).text
    assert "Piedra triturada" in text_of(page), "in the crew's language"
    told = {"day": today, "material": STONE, "zone": "A", f"left_over-{STONE}": "3", f"beside-{STONE}": "2"}
    refused = web.post(f"{home}/counted", told)
    assert refused.status_code == 422
    assert f'id="m-{STONE}" open' in refused.text, "with its place open"
    kept = web.post(f"{home}/counted", {**told, f"beside-{STONE}": "12"})
    assert (kept.status_code, kept.headers["location"]) == (303, f"{home}?zone=A#m-{STONE}")
    (one,) = open_job(office, job_id).job.counted_materials
    assert (one.material, one.beside, one.left_over, one.said_by) == (STONE, 12.0, 3.0, office.who())
    counted = text_of(web.get(f"{home}?zone=A").text)
    assert "3 toneladas sobró" in counted
    assert STONE not in web.get(f"{home}?zone=B").text, "a zone that takes none of it"
    assert "3 tons left" in text_of(web.get(f"/jobs/{job_id}/orders/left").text)
    to_stage(office, job_id, Stage.DONE)
    assert web.get(home).status_code == 404, "a closed yard is the office's"
