"""The Checks sheet: one test a thing a person does, with good input and bad."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from html import unescape
from pathlib import Path
from uuid import uuid4

import pytest

from app.domain.checks.readiness import may_settle, ready_to_sign
from app.domain.errors import NotFound
from app.domain.job import Settlement
from app.interchange.library_file import load_library
from app.services import checks
from app.services.points import SECTION, settled_points
from app.services.sheets import sheet
from tests.web.yard import Yard, order, text_of


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    opened.office.cautions = load_library().cautions
    yield opened
    opened.close()


def view(yard: Yard):
    return sheet(yard.office, yard.id)


def point(yard: Yard, rule: str, measured: str = ""):
    return next(one for one in view(yard).findings if one.rule == rule and measured in one.measured)


def test_empty_job_shows_the_papers_and_no_caution(yard: Yard) -> None:
    for work in yard.job.works:  # those a job begins with
        yard.post(f"checks/work/{work.id}/remove")
    page = text_of(yard.get("checks").text)
    assert "points stop the signing" in page
    assert "No license number is given" in page
    assert "None yet: no work on the plan calls for one." in page


def test_list_says_where_found_wanted_source_and_what_to_do(yard: Yard) -> None:
    zone_id = yard.zone(assembly="unit-pavers")
    yard.post("site/site/" + str(yard.job.site.id), {"version": str(yard.version("site", yard.job.site.id))})
    alternative = yard.job.alternatives[0]
    version = str(yard.version("alternative", alternative.id))
    yard.post(f"plan/alternative/{alternative.id}", {"fall": "1 %", "version": version, "focus": f"zone:{zone_id}"})
    answer = yard.get("checks")
    page = text_of(answer.text)
    assert "Zone A, Dining terrace falls too little: water will stand on it." in page
    assert "found 1/8 in per ft (1%)" in page
    assert "wanted at least 1/4 in per ft (2%)" in page
    assert "Interlocking Concrete Pavement Institute" in page
    assert f"/jobs/{yard.id}/plan?focus=zone:{zone_id}" in unescape(answer.text)


def test_missing_measure_of_the_whole_job_leads_to_the_site_and_shows_no_name_of_ours(yard: Yard) -> None:
    yard.post("checks/work/new", {"place": "job", "place_id": "", "assembly": "protect-site"})
    assert point(yard, "measure-missing", "haul_distance")
    answer = yard.get("checks")
    assert "haul_distance" not in text_of(answer.text)
    assert f'href="/jobs/{yard.id}/site"' in answer.text


def test_point_of_the_site_leads_to_the_section_where_it_is_typed(yard: Yard) -> None:
    page = yard.get("site").text
    assert [one for one in set(SECTION.values()) if f'id="{one}"' not in page] == []
    assert SECTION.keys() - {"lines-not-asked", "ticket-missing", "ticket-ends"} <= load_library().basis().rules.keys()
    yard.zone(assembly="unit-pavers")
    assert f'href="/jobs/{yard.id}/site#limits"' in yard.get("checks").text, "setbacks were not asked about"


def test_price_is_asked_for_in_words(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    page = text_of(yard.get("checks").text)
    assert "Price per sq ft" in page
    assert "foot**" not in page


def test_every_page_counts_the_same_open_points(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    count = view(yard).open_count
    assert count == len(view(yard).readiness.to_settle) > 0
    assert f'id="open-count">, {count}' in yard.get("plan").text


def test_settled_point_leaves_the_list_and_is_told_with_name_reason_and_a_way_back(yard: Yard) -> None:
    finding = point(yard, "papers", "license")
    before = view(yard).open_count
    fields = {"finding": finding.key, "by": "Maren Oduya", "reason": "This state licenses no landscapers."}
    answer = yard.post("checks/settle", fields)
    assert answer.status_code == 200
    assert view(yard).open_count == before - 1
    page = text_of(answer.text)
    assert "Settled" in page
    assert "Maren Oduya, " in page
    assert "This state licenses no landscapers." in page
    settlement = yard.job.settlements[0]
    assert yard.post(f"checks/settlement/{settlement.id}/remove").status_code == 200
    assert view(yard).open_count == before


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"by": "", "reason": "Because."}, "Your name is empty"),
        ({"by": "Maren Oduya", "reason": ""}, "Why it is all right is empty"),
        ({"by": "Maren Oduya", "reason": "ok"}, "The reason is missing"),
    ],
)
def test_settling_wants_a_name_and_a_reason_and_keeps_what_was_typed(yard: Yard, fields, sentence) -> None:
    answer = yard.post("checks/settle", {"finding": point(yard, "papers", "license").key, **fields})
    assert answer.status_code == 422
    assert sentence in text_of(answer.text)
    assert fields["by"] in answer.text
    assert yard.job.settlements == ()


def test_law_cannot_be_settled_and_offers_no_way(yard: Yard) -> None:
    add_fire_by_the_house(yard)
    finding = point(yard, "fire-distance-wood")
    answer = yard.post("checks/settle", {"finding": finding.key, "by": "Maren Oduya", "reason": "It will be fine."})
    assert answer.status_code == 422
    assert "no way round" in text_of(answer.text)
    law = re.search(r'aria-labelledby="part-law".*?</section>', yard.get("checks").text, re.DOTALL)
    assert law
    assert "stands too near the house" in text_of(law[0])
    assert "Go on all the same" not in law[0]


def add_fire_by_the_house(yard: Yard) -> None:
    site = yard.job.site
    house = {"house.shape": "rectangle", "house.width": "40", "house.depth": "20"}
    version = str(yard.version("site", site.id))
    assert yard.post(f"checks/site/{site.id}", {**house, "version": version}).status_code == 200
    assert yard.post("checks/feature/new", {"title": "Fire pit", "count": "1", "x": "20", "y": "30"}).status_code == 200
    feature = yard.job.features[0]
    fields = {"place": "feature", "place_id": str(feature.id), "assembly": "fire-wood"}
    assert yard.post("checks/work/new", fields).status_code == 200


def test_point_that_is_gone_is_said(yard: Yard) -> None:
    answer = yard.post("checks/settle", {"finding": "nothing|job||", "by": "Maren Oduya", "reason": "Because."})
    assert answer.status_code == 404
    assert "not open any more" in text_of(answer.text)


def test_price_typed_on_the_spot_goes_into_the_price_book(yard: Yard) -> None:
    yard.zone(assembly="gravel-surface")
    material = point(yard, "price-missing").where.removeprefix("material:")
    answer = yard.post("checks/price", {"material": material, "price": "42.50"})
    assert answer.status_code == 200
    assert yard.office.basis().prices[material].unit_price == Decimal("42.5")
    assert f"material:{material}" not in {one.where for one in view(yard).findings if one.rule == "price-missing"}
    again = yard.post("checks/price", {"material": material, "price": "43"})
    assert again.status_code == 200
    assert yard.office.basis().prices[material].unit_price == 43


@pytest.mark.parametrize("price", ["", "cheap", "-4"])
def test_price_that_is_none_is_refused_beside_its_field(yard: Yard, price: str) -> None:
    yard.zone(assembly="gravel-surface")
    material = point(yard, "price-missing").where.removeprefix("material:")
    answer = yard.post("checks/price", {"material": material, "price": price})
    assert answer.status_code == 422
    assert 'class="wrong"' in answer.text
    assert yard.office.basis().prices == {}


def test_missing_price_set_aside_is_a_printed_allowance_and_counts(yard: Yard) -> None:
    zone_id = yard.zone(assembly="gravel-surface")
    material = point(yard, "price-missing").where.removeprefix("material:")
    answer = yard.post("checks/aside", {"material": material, "cents": "1,200", "words": "Gravel of your choice"})
    assert answer.status_code == 200
    (allowance,) = yard.job.allowances
    assert (allowance.cents, allowance.zone_id, allowance.material) == (120_000, zone_id, material)
    assert f"material:{material}" not in {one.where for one in view(yard).readiness.money}
    assert view(yard).estimate.price_cents >= 120_000
    assert yard.post("checks/aside", {"material": material, "cents": "1,200"}).status_code == 404  # it is there already


@pytest.mark.parametrize("amount", ["", "0", "much"])
def test_allowance_without_an_amount_is_refused(yard: Yard, amount: str) -> None:
    yard.zone(assembly="gravel-surface")
    material = point(yard, "price-missing").where.removeprefix("material:")
    answer = yard.post("checks/aside", {"material": material, "cents": amount, "words": "Gravel of your choice"})
    assert answer.status_code == 422
    assert "Gravel of your choice" in answer.text
    assert yard.job.allowances == ()


def test_rule_gets_the_firm_s_own_value_and_goes_back(yard: Yard) -> None:
    fields = {"value": "15 ft", "severity": "stop", "reason": "Alder Ferry fire code 4.2, looked up March 1."}
    answer = yard.post("checks/rule/fire-distance-wood", fields)
    assert answer.status_code == 200
    rule = yard.office.basis().rules["fire-distance-wood"]
    assert (rule.value, rule.reason) == (15.0, fields["reason"])
    page = text_of(yard.get("checks").text)
    assert "15'-0\" your own" in page
    assert yard.post("checks/rule/fire-distance-wood/shipped").status_code == 200
    assert yard.office.basis().rules["fire-distance-wood"].value == 25.0
    assert yard.post("checks/rule/fire-distance-wood/shipped").status_code == 404


@pytest.mark.parametrize(
    ("rule", "typed", "value"),
    [
        ("riser-height", "7 1/2 in", 7.5),
        ("riser-height", "8", 8.0),
        ("paver-fall", "1.5 %", 0.015),
        ("handrail", "3", 3.0),
    ],
)
def test_rule_is_read_in_its_own_unit(yard: Yard, rule, typed, value) -> None:
    fields = {"value": typed, "severity": "warn", "reason": "The town's own."}
    assert yard.post(f"checks/rule/{rule}", fields).status_code == 200
    assert yard.office.basis().rules[rule].value == pytest.approx(value)


@pytest.mark.parametrize(
    "fields",
    [
        {"value": "near", "severity": "stop", "reason": "The town's own."},
        {"value": "15 ft", "severity": "loud", "reason": "The town's own."},
        {"value": "15 ft", "severity": "stop", "reason": ""},
        {},
    ],
)
def test_rule_refuses_what_it_cannot_read(yard: Yard, fields) -> None:
    answer = yard.post("checks/rule/fire-distance-wood", fields)
    assert answer.status_code == 422
    assert yard.office.basis().rules["fire-distance-wood"].value == 25.0


def test_unknown_rule_is_not_found(yard: Yard) -> None:
    assert yard.post("checks/rule/none-such", {"value": "1", "severity": "stop", "reason": "xxx"}).status_code == 404


def test_cautions_stand_in_full_with_the_trade_they_defer_to(yard: Yard) -> None:
    add_fire_by_the_house(yard)
    page = text_of(yard.get("checks").text)
    assert "Someone stays with it, with water or an extinguisher at hand" in page
    assert "Call 811 and wait for the marks" in page
    yard.post("checks/run/new", {"title": "Gas line", "kind": "gas", "length": "30"})
    fields = {"place": "run", "place_id": str(yard.job.runs[0].id), "assembly": "gas-run"}
    yard.post("checks/work/new", fields)
    assert "This belongs to: licensed gas fitter." in text_of(yard.get("checks").text)


def test_undo_takes_a_settlement_back(yard: Yard) -> None:
    fields = {"finding": point(yard, "papers", "license").key, "by": "Maren Oduya", "reason": "None is asked here."}
    yard.post("checks/settle", fields)
    assert yard.post("undo", {"sheet": "checks"}).status_code == 200
    assert yard.job.settlements == ()


def test_price_service_refuses_what_the_library_does_not_hold(yard: Yard) -> None:
    with pytest.raises(NotFound):
        checks.set_price(yard.office, "none-such", Decimal(1), order())


def test_whole_page_without_script_is_the_same_sheet(yard: Yard) -> None:
    fields = {"finding": point(yard, "papers", "license").key, "by": "Maren Oduya", "reason": "None is asked here."}
    answer = yard.browser.post(f"/jobs/{yard.id}/checks/settle", fields)
    assert answer.status_code == 303
    assert answer.headers["location"].startswith(f"/jobs/{yard.id}/checks")


def test_what_was_settled_on_one_day_stands_place_by_place_whatever_came_first(yard: Yard) -> None:
    """Settling in another order, or under other ids, lists the same points the same way."""
    open_ones = [one for one in view(yard).readiness.open if may_settle(one)]
    assert len(open_ones) > 3

    def listed(order: list) -> list[tuple[str, str]]:
        noon = datetime(2027, 3, 9, 12, tzinfo=UTC)
        made = tuple(
            Settlement(
                id=uuid4(), finding=one.key, by="Maren Oduya", reason="So agreed.", on=noon + timedelta(minutes=at)
            )
            for at, one in enumerate(order)
        )
        sheet = view(yard)
        return [
            (place, one.finding.what)
            for one, place in settled_points(ready_to_sign(sheet.findings, replace(sheet.job, settlements=made)), sheet)
        ]

    assert listed(open_ones) == listed(open_ones[::-1])
    assert listed(open_ones) == sorted(listed(open_ones), key=lambda pair: pair[0])


@pytest.mark.parametrize(("typed", "status"), [("0", 422), ("0.1", 200), ("10", 200), ("10.5", 422), ("-1", 422)])
def test_row_of_a_table_that_slows_work_is_a_rule_between_limits(yard: Yard, typed: str, status: int) -> None:
    fields = {"value": typed, "severity": "note", "reason": "Our own jobs."}
    assert yard.post("checks/rule/slow-soil-clay", fields).status_code == status
    assert "slow-soil-clay" in yard.get("checks").text
