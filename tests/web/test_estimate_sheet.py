"""The estimate sheet: what it shows, what is done on it, and that no figure on it stands unexplained."""

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from html import unescape
from pathlib import Path
from urllib.parse import unquote
from uuid import UUID

import pytest

from app.__main__ import main
from app.documents.formats import Formats
from app.domain.change import Edit
from app.domain.job import Job, Measured, PlaceKind
from app.domain.units import format_money, format_share
from app.services import book, job_files, jobs, proposals
from app.services.changes import fields_of
from app.services.jobs import changed
from app.services.office import Office
from app.services.plan_view import zone_rows
from app.services.sheets import sheet
from tests.stocked import begun_job, order, stocked_basis, stocked_office
from tests.web.conftest import Browser
from tests.web.yard import text_of

DOOR = re.compile(r'class="door" href="([^"]+)"')


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


@pytest.fixture
def yard(office: Office) -> UUID:
    job_id = begun_job(office)
    measure_site(office, job_id)
    return job_id


def measure_site(office: Office, job_id: UUID) -> None:
    opened = jobs.open_job(office, job_id)
    fields = {"seen_on": "2027-03-01", "haul_distance": 80.0, "access_width": 4.0, "slope": 0.02, "soil": "clay"}
    jobs.save(
        office,
        job_id,
        (changed("site", opened.job.site.id, opened.version("site", opened.job.site.id), fields),),
        order(),
    )


def job_of(office: Office, job_id: UUID) -> Job:
    return jobs.open_job(office, job_id).job


def worked(office: Office, job_id: UUID):
    return sheet(office, job_id).estimate


def page_of(web: Browser, job_id: UUID, query: str = "") -> str:
    answer = web.get(f"/jobs/{job_id}/estimate{query}")
    assert answer.status_code == 200, answer.text[:2000]
    return answer.text


def tape(office: Office, job_id: UUID) -> None:
    opened = jobs.open_job(office, job_id)
    edits = tuple(
        changed("alternative", one.id, opened.version("alternative", one.id), {"measured": "taped"})
        for one in opened.job.alternatives
        if one.measured is Measured.SKETCH
    )
    jobs.save(office, job_id, edits, order())


def test_range_with_its_reasons_and_no_price_while_a_zone_is_a_sketch(web: Browser, office: Office, yard: UUID):
    said = text_of(page_of(web, yard))
    assert "Range, not a price yet" in said
    assert "B Long bed is a sketch; tape it." in said
    assert "What drives it" in said
    assert "How fast the work goes" in said
    assert "Prices of Alder Stone Yard" in said


def test_part_that_lacks_a_price_is_told_as_a_least_and_the_others_as_bands(tmp_path: Path):
    basis = stocked_basis()
    prices = {key: price for key, price in basis.prices.items() if key != "bedding-sand"}
    office = stocked_office(tmp_path / "lacking", replace(basis, prices=prices))
    yard, web = begun_job(office), Browser(office)
    said = text_of(page_of(web, yard))
    assert "A least, not a price yet" in said
    assert f"more than {Formats('feet', 'USD').short(worked(office, yard).range.low, 'below')}" in said
    assert "waits for one price" in text_of(web.get(f"/prices?show=missing&job={yard}").text)
    plan = web.get(f"/jobs/{yard}/plan").text
    rows = {row.zone.title: row.price for row in zone_rows(sheet(office, yard))}
    lacking = [title for title, price in rows.items() if price.lacks]
    assert 0 < len(lacking) < len(rows)
    for title, price in rows.items():
        fmt = Formats("feet", "USD")
        low, high = fmt.short(price.low, "below"), fmt.short(price.high, "above")
        assert (f"more than {low}</a>" in plan) == price.lacks, title
        assert (f"{low} to {high}" in plan) == (not price.lacks), title
    office.database.close()


def test_firm_price_is_a_point_without_a_range(web: Browser, office: Office, yard: UUID):
    tape(office, yard)
    said = text_of(page_of(web, yard))
    assert "Range, not a price yet" not in said
    assert format_money(worked(office, yard).price_cents) in said


def test_going_on_to_a_firm_price_wants_name_and_reason_and_can_be_taken_back(web: Browser, office: Office, yard: UUID):
    refused = web.post(
        f"/jobs/{yard}/estimate/firm-price",
        {"firm_price_by": "Maren Oduya", "firm_price_reason": "", "version": "1000000"},
        htmx=True,
    )
    assert refused.status_code == 422
    assert "Why is empty" in refused.text
    assert 'value="Maren Oduya"' in refused.text
    assert not worked(office, yard).firm
    told = {"firm_price_by": "Maren Oduya", "firm_price_reason": "The bed can only be shorter", "version": "1000000"}
    answer = web.post(f"/jobs/{yard}/estimate/firm-price", told, htmx=True)
    assert answer.status_code == 200
    assert "Maren Oduya went on to a firm price: The bed can only be shorter" in text_of(answer.text)
    assert worked(office, yard).firm
    web.post(f"/jobs/{yard}/estimate/firm-price/back", {"version": "1000000"}, htmx=True)
    assert not worked(office, yard).firm


@pytest.mark.parametrize(("by", "words"), [("zone", "Dining terrace"), ("trade", "Own hours"), ("class", "Labor")])
def test_lines_by_zone_trade_and_class_add_up_to_the_price(
    web: Browser, office: Office, yard: UUID, by: str, words: str
):
    page = page_of(web, yard, f"?by={by}")
    heads = re.findall(r'<div class="group-head">(.*?)</div>', page, re.DOTALL)
    assert any(words in head for head in heads)
    cents = [
        round(float(re.search(r">(-?)\$([\d,.]+)</a>", head).expand(r"\1\2").replace(",", "")) * 100) for head in heads
    ]
    assert sum(cents) == worked(office, yard).price_cents
    assert page.count('scope="row"') > len(worked(office, yard).lines)


def test_unknown_grouping_is_by_zone(web: Browser, yard: UUID):
    assert "Dining terrace" in page_of(web, yard, "?by=nonsense")


def test_build_up_ends_in_the_price_with_margin_beside_markup(web: Browser, office: Office, yard: UUID):
    said = text_of(page_of(web, yard))
    assert "Margin 16% of the price is a markup of 19.05% on the cost" in said
    for step in worked(office, yard).build_up.steps:
        if step.cents:
            assert format_money(step.cents) in said, step.name
    assert (
        format_share(worked(office, yard).build_up.step("profit").cents / worked(office, yard).price_cents, 2) in said
    )


def test_every_figure_of_the_sheet_opens_to_an_explanation(web: Browser, yard: UUID):
    doors = {
        unescape(one) for by in ("zone", "trade", "class") for one in DOOR.findall(page_of(web, yard, f"?by={by}"))
    }
    kinds = {unquote(door).rpartition("/why/")[2].partition(":")[0] for door in doors}
    assert kinds >= {
        "line",
        "amount",
        "zone",
        "phase",
        "days",
        "hours",
        "step",
        "price",
        "cost",
        "range",
        "trade",
        "class",
        "work",
        "purchase",
    }
    shut = [door for door in sorted(doors) if web.get(door, headers={"hx-request": "true"}).status_code != 200]
    assert shut == []


def test_every_sum_of_money_on_the_sheet_is_a_door(web: Browser, yard: UUID):
    main = re.search(r'<div id="page-part">(.*)</main>', page_of(web, yard), re.DOTALL)[1]
    outside = re.sub(r'<a class="door".*?</a>', "", main, flags=re.DOTALL)
    outside = re.sub(r"<summary>.*?</summary>", "", outside, flags=re.DOTALL)
    assert re.findall(r"\$\d[\d,.]*", outside) == []


def test_missing_price_stands_out_and_is_typed_on_the_spot(web: Browser, tmp_path: Path):
    basis = stocked_basis()
    office = stocked_office(
        tmp_path / "other", replace(basis, prices={k: p for k, p in basis.prices.items() if k != "bedding-sand"})
    )
    web = Browser(office)
    job_id = begun_job(office)
    measure_site(office, job_id)
    said = text_of(page_of(web, job_id))
    title = basis.materials["bedding-sand"].title
    assert "One price is missing" in said
    assert not sheet(office, job_id).estimate.firm
    note = page_of(web, job_id, "?focus=price:bedding-sand")
    assert f"Price of {title}" in text_of(note)
    refused = web.post(f"/jobs/{job_id}/estimate/price/bedding-sand", {"unit_price": "cheap"}, htmx=True)
    assert refused.status_code == 422
    assert 'value="cheap"' in refused.text
    before = sheet(office, job_id).estimate.price_cents
    saved = web.post(f"/jobs/{job_id}/estimate/price/bedding-sand", {"unit_price": "38.50"}, htmx=True)
    assert saved.status_code == 200
    assert "price is missing" not in text_of(saved.text)
    assert sheet(office, job_id).estimate.price_cents > before
    again = web.post(f"/jobs/{job_id}/estimate/price/bedding-sand", {"unit_price": "40"}, htmx=True)
    assert again.status_code == 422
    assert "has a price meanwhile" in text_of(again.text)
    assert web.post(f"/jobs/{job_id}/estimate/price/no-such", {"unit_price": "40"}, htmx=True).status_code == 404
    office.database.close()


def test_what_every_job_starts_with_is_offered_where_it_is_lacking(web: Browser, office: Office, yard: UUID):
    assert "Not counted yet" not in page_of(web, yard)
    gone = next(work for work in job_of(office, yard).works if work.assembly == "own-supervision")
    removed = web.post(f"/jobs/{yard}/estimate/work/{gone.id}/remove", {"version": "1"}, htmx=True)
    assert "One thing that every job needs is not in this one." in text_of(removed.text)
    added = web.post(f"/jobs/{yard}/estimate/starting-works", htmx=True)
    assert added.status_code == 200
    assert "not in this one" not in text_of(added.text)
    assert "own-supervision" in {work.assembly for work in job_of(office, yard).works}


def test_work_of_the_whole_job_is_added_set_and_taken_out(web: Browser, office: Office, yard: UUID):
    answer = web.post(f"/jobs/{yard}/estimate/work/new", {"place": "job", "assembly": "permits"}, htmx=True)
    assert answer.status_code == 200
    work = next(one for one in job_of(office, yard).works if one.assembly == "permits")
    assert work.place is PlaceKind.JOB
    before = worked(office, yard).price_cents
    assert "Permits" in text_of(page_of(web, yard, f"?focus=work:{work.id}"))
    sent = {"name": "number", "formula": "3", "version": "1000000", "work": str(work.id), "focus": f"work:{work.id}"}
    assert web.post(f"/jobs/{yard}/estimate/work/{work.id}/parameter", sent, htmx=True).status_code == 200
    assert worked(office, yard).price_cents > before
    refused = web.post(f"/jobs/{yard}/estimate/work/{work.id}/parameter", {**sent, "formula": "400"}, htmx=True)
    assert refused.status_code == 422
    assert "this recipe takes at most" in text_of(refused.text)
    web.post(f"/jobs/{yard}/estimate/work/{work.id}/remove", {"version": "2"}, htmx=True)
    assert "permits" not in {one.assembly for one in job_of(office, yard).works}


def test_grouping_stays_through_a_change_made_on_the_sheet(web: Browser, yard: UUID):
    answer = web.post(
        f"/jobs/{yard}/estimate/work/new",
        {"place": "job", "assembly": "permits"},
        htmx=True,
        headers={"hx-current-url": f"http://127.0.0.1:8137/jobs/{yard}/estimate?by=class"},
    )
    assert f'href="/jobs/{yard}/estimate?by=class#lines" hx-boost="false" aria-current="true"' in answer.text


def test_empty_job_says_what_to_do_first(web: Browser, tmp_path: Path):
    office = stocked_office(tmp_path / "empty", replace(stocked_basis(), assemblies={}))
    web = Browser(office)
    from app.services.jobs import NewJob

    job_id = jobs.begin_job(office, NewJob(name="Priya Lindqvist"), order())
    said = text_of(page_of(web, job_id))
    assert "Nothing is priced yet" in said
    assert "Draw a zone on the Plan sheet" in said
    office.database.close()


def test_price_that_moved_since_the_job_was_last_changed_is_told_in_money(web: Browser, office: Office, yard: UUID):
    assert "Moved since" not in page_of(web, yard)
    before = worked(office, yard).price_cents
    bought = next(one for one in worked(office, yard).purchases if one.total_cents > 100_00)
    dearer = replace(office.basis().prices[bought.material], unit_price=Decimal(400))
    edit = Edit(kind="price", thing_id=bought.material, version=0, before=None, after=fields_of(dearer, "price"))
    jobs.save(office, None, (edit,), order("Quote of March"))
    after = worked(office, yard).price_cents
    assert after > before
    said = text_of(page_of(web, yard))
    assert "Moved since this job was last changed on Mar 9, 2027" in said
    assert f"raised it by {format_money(after - before)}" in said
    assert "Quote of March" in said
    measure_site(office, yard)
    zone = jobs.open_job(office, yard).job.zones[0]
    jobs.save(office, yard, (changed("zone", zone.id, 1, {"words": "Seen"}),), order())
    assert "Moved since" not in page_of(web, yard)


def test_class_stands_by_the_band_with_what_keeps_it_from_the_next_and_the_way_there(
    web: Browser, office: Office, yard: UUID
):
    page = page_of(web, yard)
    said = text_of(page)
    assert "Class 3 of 5: A plan with a price for everything" in said
    assert "What keeps it from “A measured yard, a price to sign”" in said
    assert f'href="/jobs/{yard}/plan?focus=zone:' in page
    assert "focus=rule:known-taped" in page
    tape(office, yard)
    said = text_of(page_of(web, yard))
    assert "Class 4 of 5: A measured yard, a price to sign" in said
    assert "Not known whether they are there: Gas line to a grill" in said


def test_prices_that_ran_out_are_told_by_the_class(web: Browser, office: Office, yard: UUID):
    prices = office.basis().prices
    material = next(one.material for one in worked(office, yard).purchases if one.material in prices)
    old = replace(prices[material], valid_until=None, priced_on=date(2020, 1, 1))
    edit = Edit(kind="price", thing_id=material, version=0, before=None, after=fields_of(old, "price"))
    assert "no longer good" not in text_of(page_of(web, yard))
    jobs.save(office, None, (edit,), order())
    tape(office, yard)
    assert "is no longer good." in text_of(page_of(web, yard))


def test_class_with_old_prices_is_one_on_sheet_proposal_and_command_line(
    web: Browser, office: Office, yard: UUID, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    book.set_fields(office, "rule", "known-held", 0, {"value": 4.0}, order())
    tape(office, yard)
    for key in {one.material for one in worked(office, yard).purchases} & office.basis().prices.keys():
        price = replace(office.basis().prices[key], valid_until=None, priced_on=date(2027, 3, 1))
        book.make(office, "price", key, price, order())
    said = text_of(page_of(web, yard))
    assert "Class 4 of 5" in said, "eight days old"
    office.clock.now += timedelta(days=90)
    said = text_of(page_of(web, yard))
    assert "Class 3 of 5" in said
    view = sheet(office, yard)
    assert not view.estimate.firm
    assert proposals.next_draft(office, view).offer.price.firm is None
    path = tmp_path / "job.zip"
    path.write_bytes(job_files.export_job(office, yard))
    told = {}
    for day in ("2027-03-09", view.today.isoformat()):
        assert main(["estimate", str(path), "--json", "--today", day]) == 0
        told[day] = json.loads(capsys.readouterr().out)
    assert [(one["class"], one["firm"]) for one in told.values()] == [(4, True), (3, False)]


def test_a_large_estimate_is_folded_and_brings_the_lines_of_a_group_when_it_is_unfolded(
    web: Browser, office: Office, yard: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.web.routes.estimate.OPEN_BELOW", 0)
    zone = str(job_of(office, yard).zones[0].id)
    title = next(line.title for line in worked(office, yard).lines if line.zone == zone and line.kind == "task")
    here = f"/jobs/{yard}/estimate"
    folded = web.get(here).text
    assert title not in text_of(folded)
    assert f'href="{here}?by=zone&amp;lines={zone}#lines"' in folded  # the way without script
    opened = web.get(f"{here}?by=zone&lines={zone}").text
    assert opened.count("<details data-lines=") == folded.count("<details data-lines=") > 1
    assert re.findall(r'data-lines="([^"]+)" open', opened) == [zone]
    alone = web.get(f"{here}/lines?by=zone&group={zone}", headers={"hx-request": "true"})
    assert alone.status_code == 200
    assert title in text_of(alone.text)
    assert alone.text.strip() in opened  # the very same rows
    every = web.get(f"{here}?lines=all").text
    assert every.count('scope="row"') > len(worked(office, yard).lines)


def test_an_edit_brings_back_the_lines_of_the_groups_that_stand_open(
    web: Browser, office: Office, yard: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.web.routes.estimate.OPEN_BELOW", 0)
    job = job_of(office, yard)
    zone, way = job.zones[0].id, job.chosen(job.zones[0])
    work = next(one for one in job.works if way and one.place_id == way.id)
    answer = web.post(
        f"/jobs/{yard}/estimate/work/{work.id}/parameter",
        {"name": "base", "formula": "9 in", "version": "1000000"},
        headers={"hx-request": "true", "x-outlay-lines": f"{zone},fee"},
    )
    assert answer.status_code == 200
    assert re.findall(r'data-lines="([^"]+)" open', answer.text) == [str(zone)]


def test_lines_of_a_group_that_is_not_there_are_refused_with_a_sentence(web: Browser, yard: UUID) -> None:
    answer = web.get(f"/jobs/{yard}/estimate/lines?by=zone&group=nothing", headers={"hx-request": "true"})
    assert answer.status_code == 404
    assert "Load the page again" in answer.text


def test_trials_take_the_place_of_the_closed_form_by_themselves_and_stay(web: Browser, office: Office, yard: UUID):
    page = page_of(web, yard)
    assert f'hx-get="/jobs/{yard}/estimate/trials" hx-trigger="load delay:900ms"' in page
    assert "in closed form" in text_of(page)
    drawn = web.part(f"/jobs/{yard}/estimate/trials")
    assert drawn.status_code == 200
    assert "10,000 trials" in text_of(drawn.text)
    assert "hx-trigger" not in drawn.text
    assert "10,000 trials" in text_of(page_of(web, yard))  # and now it is known
    assert "hx-get" not in page_of(web, yard).split('id="outlook"')[1].split(">")[0]
    tape(office, yard)
    assert "in closed form" in text_of(page_of(web, yard))  # another estimate, other trials


def test_without_script_the_trials_are_waited_for(web: Browser, yard: UUID):
    answer = web.get(f"/jobs/{yard}/estimate/trials", follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/jobs/{yard}/estimate#outlook")
    assert "10,000 trials" in text_of(page_of(web, yard))
