"""The firm's page: settings, wages, tax, mark, terms and notices, the first-run walk, undo."""

from decimal import Decimal
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from app.config import Settings
from app.interchange.library_file import load_library
from app.services.office import open_office
from tests.conftest import TestClock
from tests.web.conftest import Browser


@pytest.fixture
def shop(tmp_path: Path):
    opened = open_office(Settings(data=tmp_path / "shop"), load_library().basis(), TestClock())
    yield Browser(opened)
    opened.database.close()


def save(web: Browser, focus: str, version: int = 1, **fields: str):
    return web.post(f"/firm/firm/{web.office.firm_id}", {"version": version, "focus": focus, **fields}, htmx=True)


def test_margin_is_saved_and_its_markup_stands_beside(shop: Browser) -> None:
    answer = save(shop, "price", margin="20")
    assert answer.status_code == 200
    assert shop.office.firm().margin == Decimal("0.2")
    assert "25 %" in answer.text.replace("25%", "25 %")  # 0.2 / (1 - 0.2), geometry of shares


def test_crews_day_is_saved_and_said(shop: Browser) -> None:
    day = {
        "loading": "0.5",
        "driving": "20",
        "cleanup": "",
        "days_a_week": "5",
        "week_hours": "40",
        "overtime_extra": "50",
    }
    typed = {f"crew_day.{name}": value for name, value in day.items()}
    answer = save(shop, "day", **typed, **{"crew_day.people.operator": "1", "crew_day.people.crew": "2"})
    assert answer.status_code == 200
    kept = shop.office.firm().crew_day
    assert (kept.loading, kept.driving, kept.people) == (Decimal("0.5"), 20, {"operator": 1, "crew": 2})
    assert "7.83 are left for work" in answer.text  # 9 - 0.5 - 2 × 20/60, by hand
    assert "Of each day 1 h a person are overtime" in answer.text
    save(shop, "day", 2, **dict.fromkeys(typed, ""), **{"crew_day.people.operator": ""})
    assert shop.office.firm().crew_day is None


def test_months_that_slow_the_work_are_the_firms_to_say(shop: Browser) -> None:
    answer = save(shop, "seasons", **{"seasons.7.cause": "heat", "seasons.7.factor": "1.1", "seasons.1.cause": ""})
    assert answer.status_code == 200
    assert {month: (one.cause, one.factor) for month, one in shop.office.firm().seasons.items()} == {
        "7": ("heat", Decimal("1.1"))
    }
    for wrong, said in (
        ({"seasons.7.cause": "heat"}, "by how much"),
        ({"seasons.8.factor": "1.2"}, "Choose what slows"),
    ):
        refused = save(shop, "seasons", 2, **wrong)
        assert refused.status_code == 422
        assert said in refused.text
    assert save(shop, "seasons", 2, **{"seasons.7.cause": "", "seasons.7.factor": ""}).status_code == 200
    assert shop.office.firm().seasons == {}


def test_warranty_is_kept_by_kind_of_work_beside_the_usual_share(shop: Browser) -> None:
    answer = save(shop, "warranty", **{"warranty_by_group.irrigation": "3", "warranty_by_group.planting": ""})
    assert answer.status_code == 200
    assert dict(shop.office.firm().warranty_by_group) == {"irrigation": Decimal("0.03")}
    refused = save(shop, "warranty", 2, **{"warranty_by_group.irrigation": "lots"})
    assert refused.status_code == 422
    assert "lots" in refused.text


def test_what_is_ordered_beyond_the_area_is_the_firms_to_set(shop: Browser) -> None:
    assert save(shop, "price", order_straight="6", order_diagonal="12").status_code == 200
    firm = shop.office.firm()
    assert (firm.order_straight, firm.order_diagonal) == (Decimal("0.06"), Decimal("0.12"))


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"order_diagonal": "80"}, "50% is the most"),
        ({"margin": "95"}, "90% is the most"),
        ({"margin": "plenty"}, "plenty"),
        ({"crew_day_hours": "30"}, "between 1 and 16"),
        ({"crew_size": "0"}, "between 1 and 40"),
        ({"crew_day.loading": "9"}, "8 is the most"),
        ({"crew_day.driving": "far"}, "far"),
        ({"crew_day.days_a_week": "8"}, "between 1 and 7"),
        ({"crew_day.overtime_extra": "300"}, "300"),
        ({"crew_day.people.crew": "99"}, "99"),
        ({"tax_rate": "-4"}, "-4"),
        ({"overhead.labor": "lots"}, "lots"),
        ({"name": ""}, "is empty"),
    ],
)
def test_bad_setting_is_refused_beside_its_field(shop: Browser, fields: dict[str, str], said: str) -> None:
    before = shop.office.firm()
    of = {"name": "who", "tax_rate": "tax", "crew_day_hours": "day", "crew_size": "day", "crew_day": "day"}
    focus = of.get(next(iter(fields)).partition(".")[0], "price")
    answer = save(shop, focus, **fields)
    assert answer.status_code == 422
    assert said in answer.text
    assert shop.office.firm() == before


def test_wage_and_burden_make_the_cost_of_an_hour(shop: Browser) -> None:
    fields = {"wage": "26", "billable": "100", "burden.0.item": "all of it", "burden.0.share": "25"}
    answer = shop.post("/firm/labor_class/crew", {"version": 0, **fields}, htmx=True)
    assert answer.status_code == 200
    assert "$32.50" in answer.text  # 26 x 1.25, by hand
    labor = shop.office.basis().labor_classes["crew"]
    assert (labor.wage, dict(labor.burden)) == (Decimal(26), {"all of it": Decimal("0.25")})


def test_wages_nobody_typed_are_marked_as_starting_figures(shop: Browser) -> None:
    assert "our starting figures" in shop.get("/firm").text


def test_unknown_class_of_people_is_refused_in_words(shop: Browser) -> None:
    assert shop.post("/firm/labor_class/pilots", {"wage": "26"}, htmx=True).status_code == 404


def test_change_of_the_firm_is_undone(shop: Browser) -> None:
    save(shop, "who", name="Brackenfold Yards", owner="the owner")
    answer = shop.post("/firm/undo", {"back": "/firm"})
    assert answer.status_code == 303
    assert shop.office.firm().name == ""


def test_stale_setting_shows_both_values(shop: Browser) -> None:
    save(shop, "price", contingency="4")
    answer = save(shop, "price", contingency="8")
    assert answer.status_code == 409
    assert "Use mine" in answer.text
    assert shop.office.firm().contingency == Decimal("0.04")


def test_mark_is_kept_as_a_clean_picture_and_shown(shop: Browser) -> None:
    drawn = BytesIO()
    Image.new("RGB", (40, 20), "#3f6134").save(drawn, "PNG")
    answer = shop.post("/firm/mark", {"version": "1"}, files={"file": ("mark.png", drawn.getvalue(), "image/png")})
    assert answer.status_code == 303
    shown = shop.get(f"/firm/file/{shop.office.firm().mark}")
    assert shown.headers["content-type"].startswith("image/")


def test_mark_that_is_no_picture_is_refused_in_words(shop: Browser) -> None:
    answer = shop.post("/firm/mark", {"version": "1"}, files={"file": ("mark.png", b"not a picture", "image/png")})
    assert answer.status_code == 422
    assert "A picture must be" in answer.text


def test_file_that_is_not_the_firms_is_not_handed_out(shop: Browser) -> None:
    assert shop.get("/firm/file/" + "a" * 64).status_code == 404


def test_terms_are_pasted_with_who_reviewed_them(shop: Browser) -> None:
    fields = {"title": "Terms of work", "text": "Paid within ten days.", "reviewed_by": "P. Lindqvist"}
    assert shop.post("/firm/terms", {"version": "1", **fields, "reviewed_on": "2027-01-15"}).status_code == 303
    terms = shop.office.firm().terms
    assert (terms.text, terms.reviewed_by) == ("Paid within ten days.", "P. Lindqvist")


def test_notice_is_added_and_taken_out_again(shop: Browser) -> None:
    shop.post("/firm/notice/new", {"version": "1", "title": "Right to cancel", "text": "Three days."})
    assert [one.title for one in shop.office.firm().notices] == ["Right to cancel"]
    shop.post("/firm/notice/0/remove", {"version": "2"})
    assert shop.office.firm().notices == ()
    assert shop.post("/firm/notice/4/remove", {"version": "3"}).status_code == 404


def test_empty_firm_is_walked_through_what_the_first_proposal_needs(shop: Browser) -> None:
    assert shop.get("/", follow_redirects=False).headers["location"] == "/firm/first"
    assert shop.get("/?later=true", follow_redirects=False).status_code == 200
    path = f"/firm/first/firm/{shop.office.firm_id}"
    told = {"name": "Brackenfold Yards", "owner": "Maren Oduya", "town": "Alder Ferry", "state": "NY", "system": "feet",
            "wage.crew": "24", "wage.hardscape": "27.00", "wage.operator": "29.00", "wage.foreman": "33.00",
            "wage.owner": "45.00", "margin": "18", "tax_mode": "consumer", "tax_rate": "7.5"}  # fmt: skip
    bad = shop.post(path, {"version": "1", **told, "wage.crew": "much"})
    assert bad.status_code == 422
    assert 'value="Maren Oduya"' in bad.text
    assert shop.post(path, {"version": "1", **told}).headers["location"] == "/"
    assert shop.office.firm().name == "Brackenfold Yards"
    assert shop.office.basis().labor_classes["crew"].wage == Decimal(24)
    assert shop.get("/", follow_redirects=False).status_code == 200


def test_tax_of_a_class_is_said_and_labor_only_by_the_client(shop: Browser) -> None:
    said = {
        "tax_by_class.equipment": "ours",
        "tax_by_class.labor": "",
        "tax_place": "Alder Ferry",
        "tax_on": "2027-01-05",
    }
    assert save(shop, "tax", **said).status_code == 200
    firm = shop.office.firm()
    assert (firm.tax_by_class, firm.tax_place, str(firm.tax_on)) == ({"equipment": "ours"}, "Alder Ferry", "2027-01-05")
    assert save(shop, "tax", 2, **{"tax_by_class.labor": "maybe"}).status_code == 422
    assert 'value="ours"' not in shop.get("/firm").text.split('name="tax_by_class.labor"')[1].split("</select>")[0]


def test_how_the_firm_is_paid_is_saved_and_shown_as_printed(shop: Browser) -> None:
    typed = {"card_rule": "passed on", "card_fee": "3", "early_pay": "", "late_charge": "1.5", "late_after_days": ""}
    answer = save(shop, "paying", **typed)
    assert answer.status_code == 200
    firm = shop.office.firm()
    assert (firm.card_rule, firm.card_fee, firm.early_pay, firm.late_after_days) == (
        "passed on",
        Decimal("0.03"),
        0,
        30,
    )
    assert "18% a year" in answer.text
    assert "has 3% added for the card." in answer.text
    assert save(shop, "paying", 2, card_fee="40").status_code == 422
    assert save(shop, "paying", 2, card_rule="sometimes").status_code == 422
