"""The palette: finishes chosen for a zone or everywhere, recorded with day, person and sample."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from uuid import uuid4

import pytest

from app.services.palette import uses
from tests.web.yard import SHIPPED, Yard, text_of

PAVERS = sorted(m.key for m in SHIPPED.materials.values() if m.role == "finish")


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    yield opened
    opened.close()


def test_empty_palette_says_what_to_do_first(yard: Yard) -> None:
    assert "No finishes yet" in yard.get("palette").text


def two_terraces(yard: Yard):
    first = yard.zone(assembly="unit-pavers")
    return first, yard.zone(title="Walk", kind="path", assembly="unit-pavers", **{"outline.left": "40"})


def test_finish_is_to_choose_until_it_is_recorded_with_who_when_and_sample(yard: Yard) -> None:
    two_terraces(yard)
    assert "2 finishes to choose" in text_of(yard.get("palette").text)
    answer = yard.post(
        "palette/choose",
        {
            "role": "finish",
            "material": PAVERS[0],
            "zone_id": "",
            "chosen_by": "Linnea Whitlock",
            "chosen_on": "2027-03-08",
            "sample": "board 3",
        },
    )
    assert answer.status_code == 200
    (choice,) = yard.job.choices
    assert (choice.material, choice.chosen_by, choice.sample) == (PAVERS[0], "Linnea Whitlock", "board 3")
    assert choice.chosen_on == date(2027, 3, 8)
    assert {w.finishes["finish"] for w in yard.works} == {PAVERS[0]}
    words = text_of(answer.text)
    assert "chosen Mar 8, 2027 , Linnea Whitlock" in words or "chosen Mar 8, 2027, Linnea Whitlock" in words
    assert "All finishes are chosen" in text_of(yard.get("palette").text)
    yard.post("undo", {"sheet": "palette"})
    assert yard.job.choices == ()
    assert [w.finishes for w in yard.works] == [{}, {}]


def test_recorded_choice_is_said_and_the_next_open_finish_lies_ready(yard: Yard) -> None:
    first, _ = two_terraces(yard)
    yard.zone(title="Bed", kind="planting", assembly="planting-bed", **{"outline.left": "80"})
    told = {"role": "finish", "material": PAVERS[0], "chosen_by": "Linnea Whitlock"}
    words = text_of(yard.post("palette/choose", {**told, "zone_id": str(first)}).text)
    assert "Recorded: finish" in words
    assert "Choose finish The finish" in words  # the walk still lacks one
    words = text_of(yard.post("palette/choose", {**told, "zone_id": ""}).text)
    assert "Recorded: finish" in words
    assert "Choose mulch The finish" in words
    words = text_of(yard.post("palette/choose", {**told, "role": "mulch", "zone_id": ""}).text)  # not a mulch
    assert "Recorded" not in words
    assert "That material cannot be used there" in words
    words = text_of(yard.post("palette/choose", {"role": "mulch", "material": "mulch-bark", "zone_id": ""}).text)
    assert "All finishes are chosen" in words


def test_choice_for_one_zone_leaves_the_other_and_everywhere_overrules_both(yard: Yard) -> None:
    first, second = two_terraces(yard)
    yard.post("palette/choose", {"role": "finish", "material": PAVERS[0], "zone_id": str(first)})
    lying = {use.zone.id: use.material.key for use in uses(yard.job, SHIPPED) if use.role == "finish"}
    assert lying[first] == PAVERS[0]
    assert lying[second] == "paver-cobble-harvest"
    yard.post("palette/choose", {"role": "finish", "material": PAVERS[1], "zone_id": ""})
    lying = {use.zone.id: use.material.key for use in uses(yard.job, SHIPPED) if use.role == "finish"}
    assert lying == {first: PAVERS[1], second: PAVERS[1]}
    assert [one.zone_id for one in yard.job.choices] == [None]


def test_choosing_again_changes_the_one_record(yard: Yard) -> None:
    two_terraces(yard)
    for material in PAVERS[:2]:
        yard.post("palette/choose", {"role": "finish", "material": material, "zone_id": ""})
    assert [one.material for one in yard.job.choices] == [PAVERS[1]]


@pytest.mark.parametrize(
    "fields",
    [{"material": "topsoil"}, {"material": ""}, {"role": "no role"}, {"zone_id": str(uuid4())}, {"zone_id": "x"},
     {"chosen_on": "soon"}],
)  # fmt: skip
def test_choice_that_cannot_be_is_refused_and_nothing_changes(yard: Yard, fields: dict) -> None:
    two_terraces(yard)
    answer = yard.post("palette/choose", {"role": "finish", "material": PAVERS[0], "zone_id": "", **fields})
    assert answer.status_code == 422
    assert yard.job.choices == ()


def test_supplier_is_not_on_the_palette(yard: Yard) -> None:
    from decimal import Decimal

    from app.domain.basis import Price, Supplier
    from app.domain.change import Edit
    from app.services.changes import fields_of
    from app.services.jobs import save
    from tests.web.yard import order

    price = Price(material=PAVERS[0], unit_price=Decimal(5), supplier="secret-yard")
    edits = (
        Edit(kind="price", thing_id=price.material, version=0, before=None, after=fields_of(price, "price")),
        Edit(
            kind="supplier",
            thing_id="secret-yard",
            version=0,
            before=None,
            after=fields_of(Supplier(key="secret-yard", title="Secret Stone Yard"), "supplier"),
        ),
    )
    save(yard.office, None, edits, order())
    two_terraces(yard)
    page = yard.get("palette?focus=role:finish")
    assert page.status_code == 200
    assert "Secret" not in page.text
    assert "secret-yard" not in page.text


def house(yard: Yard, **fields: str):
    return yard.post(f"palette/site/{yard.job.site.id}", {"version": yard.version("site", yard.job.site.id), **fields})


def test_colors_of_the_house_are_typed_as_hex_lab_or_chip_and_undone(yard: Yard) -> None:
    answer = house(yard, wall_color="10YR 8/2", roof_color="Lab 38 2 3", trim_color="F1EDE3", house_height="18")
    assert answer.status_code == 200, answer.text
    site = yard.job.site
    assert site.wall_color.startswith("#")
    assert (site.trim_color, site.house_height) == ("#f1ede3", 18.0)
    yard.post("undo", {"sheet": "palette"})
    assert yard.job.site.wall_color == ""


def test_what_is_no_color_is_said_beside_its_field_and_kept_as_typed(yard: Yard) -> None:
    answer = house(yard, wall_color="beige", house_height="80")
    assert answer.status_code == 422
    assert 'value="beige"' in answer.text
    assert "no color known here" in text_of(answer.text)
    assert "too much" in text_of(answer.text)
    assert yard.job.site.wall_color == ""


def test_page_says_what_breaks_the_family_and_what_would_mend_it_with_a_door_to_the_difference(yard: Yard) -> None:
    first, second = two_terraces(yard)
    for zone, material in ((first, "paver-brick-clay"), (second, "paver-brick-smoke")):
        yard.post("palette/choose", {"role": "finish", "material": material, "zone_id": str(zone)})
    house(yard, wall_color="#9c4a35")
    page = yard.get("palette")
    words = text_of(page.text)
    assert "What goes together" in words
    assert "Not looked at for want of a color: house roof, house trim" in words
    assert "breaks" in words or "lie side by side" in words or "Warm and gray are mixed" in words


def test_a_sale_that_a_need_speaks_of_counts_until_it_is_answered(yard: Yard) -> None:
    yard.post("client/need/new", {"words": "Good value when we sell", "must": "1"})
    assert "speaks of selling" in text_of(yard.get("palette").text)
    head = yard.job.head
    answer = yard.post(f"palette/job/{head.id}", {"sale_near": "no", "version": yard.version("job", head.id)})
    assert answer.status_code == 200
    assert yard.job.head.sale_near == "no"
    assert "speaks of selling" not in text_of(yard.get("palette").text)


def test_a_difference_is_explained_and_one_that_is_none_is_not_there(yard: Yard) -> None:
    zone = yard.zone(assembly="unit-pavers")
    yard.post("palette/choose", {"role": "finish", "material": "paver-cobble-slate", "zone_id": str(zone)})
    assert yard.get("why/mend:paver-cobble-slate:nothing").status_code == 404
    assert yard.get("why/mend:nothing:paver-cobble-slate").status_code == 404


def test_the_boards_are_on_the_sheet_and_open_as_a_drawing(yard: Yard) -> None:
    assert yard.get("palette/lying.svg").status_code == 404
    two_terraces(yard)
    assert yard.get("palette").text.count("As it will lie, ") == 4
    drawn = yard.get("palette/lying.svg")
    assert drawn.headers["content-type"].startswith("image/svg+xml")
    assert drawn.text.startswith("<svg")
