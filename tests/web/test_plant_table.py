"""The plant table: species of the firm's own, rows corrected, taken back, undone, and used by beds and their prices."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from uuid import UUID

import pytest

from app.services import beds, jobs
from app.services.office import Office
from app.services.plant_table import plant_table
from app.services.sheets import sheet
from tests.offering import order
from tests.plans.yards import library
from tests.stocked import begun_job, stocked_basis, stocked_office
from tests.web.conftest import Browser

HERE = "/library/plants"
OWN = {
    "botanical": "Amsonia ciliata",
    "common": "Fringed bluestar",
    "kind": "perennial",
    "water": "medium",
    "height.least": "2'",
    "height.most": "4'",
    "spread.least": "1'",
    "spread.most": "1'-6\"",
    "spacing": '12"',
    "sun": ["full", "part"],
    "zones.coldest": "5",
    "zones.warmest": "9",
    "bloom": ["4", "5"],
    "colors": "Blue, White, blue",
    "people": "",
    "pets": "eaten",
    "source": "our own beds since 2019",
}


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    held = library()
    planted = replace(stocked_basis(), plants=held.plants, plant_sizes=held.plant_sizes)
    opened = stocked_office(tmp_path / "data", planted)
    yield opened
    opened.database.close()


@pytest.fixture
def yard(office: Office) -> UUID:
    return begun_job(office)


def sent(web: Browser, way: str, typed: Mapping[str, object], page: str = HERE):
    change = web.get(page).text.split('name="change_id" value="')
    head = {"change_id": change[1].split('"')[0]} if len(change) > 1 else {}
    return web.post(way, {**head, **typed}, htmx=True)


def test_species_of_our_own_is_added_planted_and_priced_by_its_size(web: Browser, office: Office, yard: UUID) -> None:
    answer = sent(web, f"{HERE}/new", OWN, f"{HERE}/new")
    assert answer.status_code == 200, answer.text
    plant = office.basis().plants["amsonia-ciliata"]
    assert plant.height == (2.0, 4.0)
    assert plant.spread == (1.0, 1.5)
    assert plant.spacing == 12.0
    assert plant.bloom == (4, 5)
    assert plant.colors == ("blue", "white")
    assert (plant.pets, plant.people) == ("eaten", "")
    assert "Amsonia ciliata" in web.get(f"{HERE}?ours=1").text
    view = sheet(office, yard)
    way = view.job.alternatives[0]
    row = beds.add_plant(office, yard, {"species": plant.key, "bed": way.id}, order("Plant"))
    now = jobs.open_job(office, yard)
    planted = next(one for one in now.job.plantings if one.id == row)
    key = f"amsonia-ciliata-{planted.size}"
    stands_in = now.basis.plant_sizes[planted.size].materials["perennial"]
    assert now.basis.materials[key].role == now.basis.materials[stands_in].role
    # it stands on a list now: it cannot go out of the table from under it
    refused = sent(web, f"/library/plant/{plant.key}/shipped", {})
    assert refused.status_code == 409
    assert "Take it off these first" in refused.text
    assert plant.key in office.basis().plants


def test_shipped_row_is_corrected_comes_back_and_is_undone(web: Browser, office: Office) -> None:
    shipped = office.shipped.plants["acer-rubrum"]
    corrected = {"version": "0", "height.least": "30'", "height.most": "55'", "source": "measured in Alder Ferry"}
    assert sent(web, "/library/plant/acer-rubrum", corrected).status_code == 200
    now = office.basis().plants["acer-rubrum"]
    assert now.height == (30.0, 55.0)
    assert now.spread == shipped.spread
    assert now.source == "measured in Alder Ferry"
    # somebody else read the shipped row: both values are shown, nothing is lost
    late = sent(web, "/library/plant/acer-rubrum", {**corrected, "height.most": "60'"})
    assert late.status_code == 409
    assert office.basis().plants["acer-rubrum"] == now
    page = web.get("/library/plant/acer-rubrum").text
    assert "Shipped, it says" in page
    assert sent(web, "/library/plant/acer-rubrum/shipped", {}).status_code == 204
    assert office.basis().plants["acer-rubrum"] == shipped
    web.post("/firm/undo", {"back": HERE})
    assert office.basis().plants["acer-rubrum"] == now


WRONG: tuple[tuple[dict[str, object], str], ...] = (
    ({"botanical": "bluestar"}, "two words, the genus first"),
    ({"botanical": "Acer rubrum"}, "is in the table already"),
    ({"height.most": "1'"}, "so not 1 ft at most"),
    ({"height.most": "900'"}, "more than any plant grows"),
    ({"spread.least": "0"}, "Type the least"),
    ({"spacing": '1"'}, "2 in to 60 ft apart"),
    ({"zones.coldest": "9", "zones.warmest": "5"}, "the colder first"),
    ({"zones.coldest": "0"}, "between 1 and 13"),
    ({"sun": [], "sun.sent": "1"}, "Tick at least one"),
    ({"sun": []}, "needs its grown height"),
    ({"sun": ["moon"]}, "choose of the list"),
    ({"bloom": ["14"]}, "choose of the list"),
    ({"colors": "a very long description of a color"}, "Write colors with commas"),
    ({"source": ""}, "is empty"),
    ({"kind": "cactus"}, "choose one of the list"),
)


def test_what_cannot_be_planted_by_is_refused_beside_its_field_and_kept_as_typed(web: Browser, office: Office) -> None:
    for typed, words in WRONG:
        answer = sent(web, f"{HERE}/new", {**OWN, **typed}, f"{HERE}/new")
        assert answer.status_code == 422, typed
        assert words in answer.text, typed
        assert "Fringed bluestar" in answer.text
    assert "amsonia-ciliata" not in office.basis().plants


def test_table_is_looked_through_by_name_region_and_color(web: Browser, office: Office) -> None:
    assert "Acer rubrum" in web.get(f"{HERE}?find=red+maple").text
    assert plant_table(office, "maple shade").found < plant_table(office, "maple").found
    assert plant_table(office, "", "bulb").found == sum(one.kind == "bulb" for one in office.basis().plants.values())
    assert "No such plant" in web.get(f"{HERE}?find=xyzzy").text
    assert web.get("/library/plant/no-such").status_code == 404
    assert HERE in web.get("/library").text
    assert HERE in web.get("/prices").text
