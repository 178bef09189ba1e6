"""The Beds sheet: plants found and added, rows changed, refused, taken off; the price goes by what stands there."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.domain.palette.bloom_colors import bloom_hex
from tests.web.yard import Yard, text_of

BED = {
    "title": "Border",
    "kind": "planting",
    "assembly": "planting-bed",
    "outline.shape": "rectangle",
    "outline.width": "20",
    "outline.depth": "10",
}


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    one = Yard(tmp_path)
    one.zone(**BED)
    yield one
    one.close()


def bed_of(yard: Yard) -> str:
    return str(yard.job.alternatives[0].id)


def added(yard: Yard, species: str = "liatris-spicata") -> str:
    answer = yard.post("beds/planting/new", {"bed": bed_of(yard), "species": species})
    assert answer.status_code == 200, answer.text
    return str(yard.job.plantings[-1].id)


def test_before_anything_is_listed_the_page_says_what_counts(yard: Yard) -> None:
    page = yard.get("beds")
    assert "counts perennials and groundcover by shares" in text_of(page.text)
    assert 'href="/jobs/' in page.text
    assert "/beds" in yard.get("plan").text


def test_plants_are_found_by_any_of_their_words(yard: Yard) -> None:
    page = text_of(yard.get(f"beds?focus=bed:{bed_of(yard)}&find=coneflower").text)
    assert "Echinacea purpurea" in page
    assert "Liatris" not in page
    assert "Hosta" in text_of(yard.get(f"beds?focus=bed:{bed_of(yard)}&find=shade+japan&kind=perennial").text)
    none = text_of(yard.get(f"beds?focus=bed:{bed_of(yard)}&find=zzz").text)
    assert "0 plants" in none


def test_a_plant_is_added_changed_counted_and_taken_off(yard: Yard) -> None:
    row = added(yard)
    page = text_of(yard.get("beds").text)
    assert "LS Liatris spicata" in page
    told = {"size": "quart", "pattern": "square", "spacing": "12 in", "share": "2", "under": "", "variety": "Kobold"}
    answer = yard.post(f"beds/planting/{row}", {**told, "version": "1"})
    assert answer.status_code == 200
    assert "200 stand in this bed" in text_of(answer.text)
    assert "Kobold" in answer.text
    one = yard.job.plantings[0]
    assert (one.size, one.pattern, one.spacing, one.share, one.variety) == ("quart", "square", 1.0, 2, "Kobold")
    yard.post(f"beds/planting/{row}/remove")
    assert yard.job.plantings == ()
    yard.post("undo", {"sheet": "beds"})
    assert yard.job.plantings == (one,)


def test_places_are_typed_in_feet_or_by_lines(yard: Yard) -> None:
    row = added(yard, "cercis-canadensis")
    told = {"size": "7-gal", "pattern": "placed", "places": "5, 5\n15' 6\", 5", "version": "1"}
    answer = yard.post(f"beds/planting/{row}", told)
    assert yard.job.plantings[0].points == ((5.0, 5.0), (15.5, 5.0))
    assert "2 stand in this bed" in text_of(answer.text)
    wrong = yard.post(f"beds/planting/{row}", {**told, "places": "5 over there", "version": "2"})
    assert wrong.status_code == 422
    assert "“5 over there” is no place" in text_of(wrong.text)
    assert "5 over there" in wrong.text
    assert yard.job.plantings[0].points == ((5.0, 5.0), (15.5, 5.0))


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"size": "2-5-in", "pattern": "square"}, "is not bought in that size"),
        ({"size": "1-gal", "pattern": "square", "spacing": "1 in"}, "2 in to 60 ft apart"),
        ({"size": "1-gal", "pattern": "in heaps"}, "choose one of the list"),
        ({"size": "1-gal", "pattern": "square", "share": "0"}, "between 1 and 20"),
    ],
)
def test_what_is_not_planted_so_is_refused_and_kept_as_typed(yard: Yard, told: dict[str, str], said: str) -> None:
    row = added(yard)
    before = yard.job
    answer = yard.post(f"beds/planting/{row}", {**told, "version": "1"})
    assert answer.status_code == 422
    assert said in text_of(answer.text)
    assert yard.job.plantings == before.plantings


def test_a_plant_nobody_knows_and_a_bed_that_is_gone_are_refused(yard: Yard) -> None:
    unknown = yard.post("beds/planting/new", {"bed": bed_of(yard), "species": "nothing-such"})
    assert unknown.status_code == 422
    gone = yard.post("beds/planting/new", {"bed": "00000000-0000-4000-8000-000000000001", "species": "liatris-spicata"})
    assert gone.status_code == 404
    assert yard.job.plantings == ()


def test_a_copy_of_the_way_takes_its_plants_along(yard: Yard) -> None:
    added(yard)
    zone = yard.job.zones[0].id
    yard.post(f"plan/zone/{zone}/another-way", {"way": "In rows"})
    assert len(yard.job.plantings) == 2
    assert {one.alternative_id for one in yard.job.plantings} == {one.id for one in yard.job.alternatives}


def test_a_bed_shows_its_year_and_its_water(yard: Yard) -> None:
    added(yard, "packera-aurea")
    added(yard, "symphyotrichum-oblongifolium")
    page = yard.get("beds").text
    assert "nothing blooms in Jun, Jul" in text_of(page)
    chart = page.split('class="bloom"')[1].split("</figure>")[0]
    assert chart.count('fill="none" stroke') == 5  # April and May, August to October
    assert chart.count(f'fill="{bloom_hex("gold")}"') == 2  # the groundsel's two months, in its color
    assert "Apr May in gold" in chart
    assert "gal an hour" in text_of(page)


def test_the_watering_sheet_names_every_plant_and_no_money(yard: Yard) -> None:
    from app.services.bed_care import watering_pdf
    from app.services.sheets import sheet

    added(yard)
    paper = watering_pdf(yard.office, sheet(yard.office, yard.id)).html
    assert "Liatris spicata, 1 gal" in paper
    assert "Weeks 1 and 2" in paper
    assert "$" not in paper


def test_plants_are_drawn_on_the_plan_with_their_letters(yard: Yard) -> None:
    from app.documents.plan_drawing import plan_svg
    from app.services.jobs import open_job

    def drawn() -> str:
        opened = open_job(yard.office, yard.id)
        return plan_svg(opened.job, opened.basis)

    assert 'data-layer="plants"' not in drawn()
    added(yard)
    assert 'data-layer="plants"' in drawn()
    assert ">LS</text>" in drawn()
    assert "paint-order" not in drawn(), "print draws a rim over its letters"


def test_places_go_along_when_plan_or_bed_are_moved_or_mirrored(yard: Yard) -> None:
    row = added(yard, "cercis-canadensis")
    yard.post(f"beds/planting/{row}", {"size": "7-gal", "pattern": "placed", "places": "5, 5", "version": "1"})
    yard.post("plan/shape/all/place", {"east": "10", "north": "0"})
    assert yard.job.plantings[0].points == ((15.0, 5.0),)
    zone = yard.job.zones[0].id
    version = yard.version("alternative", yard.job.alternatives[0].id)
    yard.post(f"plan/shape/zone/{zone}/place", {"north": "3", "version": str(version)})
    assert yard.job.plantings[0].points == ((15.0, 8.0),)


@pytest.mark.parametrize(
    ("typed", "kept"),
    [("40.2", 40.2), ("40,2 n", 40.2), ("33.9 S", -33.9), ("forty", None), ("89", None)],
)
def test_where_the_yard_lies_is_typed_in_degrees(yard: Yard, typed: str, kept: float | None) -> None:
    answer = yard.post(f"site/site/{yard.job.site.id}", {"latitude": typed, "usda_zone": "zone 6B", "version": "1"})
    assert (answer.status_code, yard.job.site.latitude) == (200 if kept else 422, kept)
    if kept:
        assert yard.job.site.usda_zone == "6b"
    else:
        assert typed in answer.text


def test_a_plant_gets_a_price_of_its_own_in_the_book(yard: Yard) -> None:
    row = added(yard)
    assert "Priced as: Perennial, 1 gal" in text_of(yard.get(f"beds?focus=planting:{row}").text)
    answer = yard.post(f"beds/planting/{row}/price", {"unit_price": "13.25"})
    assert answer.status_code == 200
    assert "The price book has this plant by name" in text_of(answer.text)
    basis = yard.office.basis()
    assert str(basis.prices["liatris-spicata-1-gal"].unit_price) == "13.25"
    assert basis.materials["liatris-spicata-1-gal"].title == "Liatris spicata (Dense blazing star), 1 gal"
    again = yard.post(f"beds/planting/{row}/price", {"unit_price": "14"})
    assert again.status_code == 200
    assert str(yard.office.basis().prices["liatris-spicata-1-gal"].unit_price) == "14"
    wrong = yard.post(f"beds/planting/{row}/price", {"unit_price": "plenty"})
    assert wrong.status_code == 422
    assert "plenty" in wrong.text


def test_the_proposal_has_a_page_for_each_planted_bed(yard: Yard) -> None:
    from app.services.proposals import next_draft
    from app.services.sheets import sheet

    assert 'class="planted"' not in next_draft(yard.office, sheet(yard.office, yard.id)).html
    added(yard, "taxus-media")
    page = next_draft(yard.office, sheet(yard.office, yard.id)).html
    assert page.count('class="planted"') == 1
    assert "Taxus × media" in page
    assert "Known to harm when eaten or touched: Anglo-Japanese yew" in page


def test_the_printed_plan_has_the_key_of_its_plants(yard: Yard) -> None:
    from app.documents.plan_schedule import plant_key
    from app.services.jobs import open_job

    row = added(yard)
    yard.post(f"beds/planting/{row}", {"size": "1-gal", "pattern": "square", "spacing": "12 in", "version": "1"})
    opened = open_job(yard.office, yard.id)
    assert plant_key(opened.job, opened.basis) == (("LS", "200 Liatris spicata, 1 gal"),)
