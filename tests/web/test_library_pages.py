"""The library's pages: a recipe as text beside the shipped one, materials and tasks as forms, all checked when saved."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.config import Settings
from app.interchange.library_file import load_library
from app.services.office import open_office
from tests.conftest import TestClock
from tests.web.conftest import Browser


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Browser]:
    opened = open_office(Settings(data=tmp_path / "shop"), load_library().basis(), TestClock())
    yield Browser(opened)
    opened.database.close()


def text_of(web: Browser, key: str) -> str:
    from app.services.library import open_entry

    return open_entry(web.office, "assembly", key).text


@pytest.mark.parametrize("kind", ["assembly", "material", "task"])
def test_every_list_opens_and_is_searched(shop: Browser, kind: str) -> None:
    assert shop.get(f"/library?kind={kind}").status_code == 200
    assert "Nothing found" in shop.get(f"/library?kind={kind}&search=xyzzy").text


def test_unknown_kind_or_key_is_answered_in_words(shop: Browser) -> None:
    for path in ("/library?kind=spell", "/library/assembly/none", "/library/spell/none", "/library/firm/x"):
        assert shop.get(path).status_code == 404


def test_recipe_is_changed_kept_as_own_and_given_back(shop: Browser) -> None:
    changed = text_of(shop, "seal-surface").replace('title = "', 'title = "Our ', 1)
    here = "/library/assembly/seal-surface"
    assert shop.post(here, {"version": "0", "text": changed}).status_code == 303
    assert shop.office.basis().assemblies["seal-surface"].title.startswith("Our ")
    assert "As shipped" in shop.get(here).text
    assert shop.post(f"{here}/shipped").headers["location"] == here
    assert shop.office.basis().assemblies["seal-surface"] == shop.office.shipped.assemblies["seal-surface"]
    assert shop.post(f"{here}/shipped").status_code == 404


def test_recipe_under_another_key_stands_beside(shop: Browser) -> None:
    text = text_of(shop, "seal-surface").replace('key = "seal-surface"', 'key = "seal-twice"')
    answer = shop.post("/library/assembly/seal-surface", {"version": "0", "text": text})
    assert answer.headers["location"] == "/library/assembly/seal-twice"
    assert {"seal-surface", "seal-twice"} <= set(shop.office.basis().assemblies)
    assert shop.post("/library/assembly/seal-twice/shipped").headers["location"] == "/library?kind=assembly"
    assert "seal-twice" not in shop.office.basis().assemblies


@pytest.mark.parametrize(
    ("bad", "said"),
    [
        ("this is = = no", "TOML"),
        ('key = "seal-surface"\ntitle = "x"\nmesures = "zone"', "mesures"),
        ('key = "x"\ntitle = "x"\n[[part]]\nrole = "finish"\namount = "area *"', "area"),
        ('key = "x"\ntitle = "x"\n[[task]]\ntask = "no-such"\namount = "area"', "no-such"),
        ("", "empty"),
    ],
)
def test_recipe_that_cannot_be_worked_out_is_refused_with_its_text_kept(shop: Browser, bad: str, said: str) -> None:
    answer = shop.post("/library/assembly/seal-surface", {"version": "0", "text": bad})
    assert answer.status_code == 422
    assert said in answer.text
    assert shop.office.basis().assemblies == shop.office.shipped.assemblies


def test_material_is_changed_and_a_bad_coverage_refused(shop: Browser) -> None:
    here = "/library/material/paver-brick-clay"
    assert shop.post(here, {"version": "0", "loss": "9"}).status_code == 303
    assert shop.office.basis().materials["paver-brick-clay"].loss == pytest.approx(0.09)
    answer = shop.post(here, {"version": "1", "coverage": "plenty"})
    assert answer.status_code == 422
    assert "plenty" in answer.text


def test_task_hours_are_changed_and_must_rise(shop: Browser) -> None:
    key, task = next(iter(shop.office.shipped.tasks.items()))
    here = f"/library/task/{key}"
    three = {"hours.low": "0.1", "hours.likely": "0.2", "hours.high": "0.3"}
    assert shop.post(here, {"version": "0", **three}).status_code == 303
    assert shop.office.basis().tasks[key].hours == (0.1, 0.2, 0.3)
    answer = shop.post(here, {"version": "1", **three, "hours.low": "0.9"})
    assert answer.status_code == 422
    assert "must rise" in answer.text
    assert shop.office.basis().tasks[key].setup == task.setup
    page = shop.get(here).text
    assert f"shipped: {task.hours[0]:g}" in page  # the firm's own stand beside the shipped ones


def test_size_and_own_jobs_of_a_tasks_hours_are_kept_and_must_fit_its_unit(shop: Browser) -> None:
    key = next(key for key, one in shop.office.shipped.tasks.items() if one.unit == "foot**2")
    here = f"/library/task/{key}"
    assert shop.post(here, {"version": "0", "learned_on": "300*foot**2", "own_jobs": "4"}).status_code == 303
    kept = shop.office.basis().tasks[key]
    assert (kept.learned_on, kept.own_jobs) == ("300*foot**2", 4)
    answer = shop.post(here, {"version": "1", "learned_on": "300*foot"})
    assert answer.status_code == 422
    assert "sq ft is wanted" in answer.text


def material(shop: Browser, **fields: str):
    version = "0" if "version" not in fields else fields.pop("version")
    return shop.post("/library/material/paver-cobble-slate", {"version": version, **fields})


def test_color_of_a_material_is_kept_with_the_words_it_was_told_in(shop: Browser) -> None:
    assert material(shop, color="10YR 5/4", color_was="#7d8287", sheen="satin").status_code == 303
    own = shop.office.basis().materials["paver-cobble-slate"]
    assert (own.color_as, own.sheen) == ("10YR 5/4", "satin")
    page = shop.get("/library/material/paver-cobble-slate").text
    assert 'value="10YR 5/4"' in page
    assert "Lab 51" in page
    assert material(shop, color="10YR 5/4", color_was="10YR 5/4", version="1").status_code == 303
    assert shop.office.basis().materials["paver-cobble-slate"] == own


def test_a_blend_without_a_color_is_seen_as_its_mixture(shop: Browser) -> None:
    sent = {"color": "", "color_was": "#7d8287", "blend": "#b07a52 50%, #7d8287 50%"}
    assert material(shop, **sent).status_code == 303
    own = shop.office.basis().materials["paver-cobble-slate"]
    assert dict(own.blend) == {"#b07a52": 0.5, "#7d8287": 0.5}
    assert own.color not in {"", *own.blend}


@pytest.mark.parametrize(("field", "bad"), [("color", "sand"), ("blend", "#b07a52 50%"), ("sheen", "shiny")])
def test_what_is_no_color_is_refused_beside_its_field(shop: Browser, field: str, bad: str) -> None:
    answer = material(shop, **{field: bad})
    assert answer.status_code == 422
    assert bad in answer.text or field == "sheen"
    assert "paver-cobble-slate" in shop.office.basis().materials
