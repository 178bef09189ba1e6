"""The sheet /quick-math (routes /quick_math): found by a word, answered as typed, put into a job, without script too."""

from collections.abc import Iterator
from urllib.parse import parse_qsl
from uuid import UUID, uuid4

import pytest

from app.domain.devices import Face
from app.domain.job import PlaceKind
from app.domain.sharing import Over
from app.domain.trades import gas
from app.domain.trades.registry import CALCULATIONS
from app.services import quick_math_in_job
from app.services.home import every_job
from app.services.jobs import changed, made, open_job, save
from app.services.office import Office
from app.services.zones import new_work
from tests.offering import order
from tests.web.conftest import Browser
from tests.web.reaching import paired, sent


@pytest.fixture
def here(stocked: Office) -> Iterator[Browser]:
    opened = Browser(stocked)
    with opened.client:
        yield opened


@pytest.fixture
def built(stocked: Office, ready: UUID) -> UUID:
    """A job that the crew builds."""
    opened = open_job(stocked, ready)
    save(stocked, ready, (changed("job", ready, opened.version("job", ready), {"stage": "building"}),), order())
    return ready


def test_list_is_by_trade_and_found_by_a_word(web: Browser) -> None:
    page = web.get("/quick-math")
    assert page.status_code == 200
    assert all(f'href="/quick-math/{key}"' in page.text for key in CALCULATIONS)
    found = web.get("/quick-math?search=riser").text
    assert 'href="/quick-math/steps"' in found
    assert 'href="/quick-math/volume"' not in found
    assert "Nothing here is called" in web.get("/quick-math?search=zeppelin").text


def test_every_calculation_opens_with_an_answer(web: Browser) -> None:
    for key, one in CALCULATIONS.items():
        page = web.get(f"/quick-math/{key}")
        assert page.status_code == 200, key
        assert 'class="quick-main"' in page.text, key
        assert one.validity.split()[0] in page.text, key


def test_answer_goes_by_what_is_typed_and_opens_to_the_numbers(web: Browser) -> None:
    page = web.get("/quick-math/volume?area=450&depth=4+in&loss=0&material=base&load=16").text
    assert "5.56 cu yd" in page
    assert "450 sq ft × 4&#34;" in page
    assert 'value="450"' in page
    part = web.part("/quick-math/volume?area=450&depth=4+in").text
    assert "<html" not in part
    assert "5.56 cu yd" in part
    assert 'id="said-area" hx-swap-oob="true"' in part
    assert 'role="status" hx-swap-oob="true">5.56 cu yd, 11.34 tons, 1</p>' in part


def test_what_is_not_understood_stands_beside_its_field(web: Browser) -> None:
    page = web.get("/quick-math/volume?area=lots&depth=30+ft")
    assert page.status_code == 422
    assert "“lots” is not understood as an area" in page.text
    assert "too much" in page.text
    assert 'value="lots"' in page.text
    part = web.get("/quick-math/volume?area=lots", headers={"hx-request": "true"})
    assert part.status_code == 422
    assert "“lots” is not understood as an area" in part.text
    assert "&lt;b&gt;" in web.get("/quick-math/volume?area=<b>").text


def test_there_is_no_such_calculation(web: Browser) -> None:
    answer = web.get("/quick-math/concret")
    assert answer.status_code == 404
    assert "Did you mean “concrete”" in answer.text


def test_metric_firm_types_meters(web: Browser) -> None:
    save(web.office, None, (changed("firm", web.office.firm_id, 10**6, {"system": "metric"}),), order())
    page = web.get("/quick-math/volume?area=42&depth=10&loss=0").text
    assert "4.2 m³" in page


def test_a_note_goes_into_the_job_once_and_is_undone(here: Browser, ready: UUID) -> None:
    choose = here.get(f"/quick-math/volume/job?job={ready}&area=450&depth=4+in")
    assert "own note" in choose.text
    form = {"where": "note", "area": "450", "depth": "4 in", "change_id": str(uuid4())}
    for _ in range(2):
        answer = here.post(f"/quick-math/volume/job/{ready}", form)
        assert answer.status_code == 303
    note = open_job(here.office, ready).job.head.private_note
    assert note.count("Volume and tons:") == 1
    assert "area 450 sq ft" in note
    assert "5.56 cu yd" in note
    here.post(f"/jobs/{ready}/undo", {"change_id": str(uuid4()), "sheet": "plan"})
    assert "Volume and tons" not in open_job(here.office, ready).job.head.private_note


def test_a_recipe_takes_the_numbers_and_refuses_what_it_cannot(here: Browser, ready: UUID) -> None:
    opened = open_job(here.office, ready)
    work = next(one for one in opened.job.works if one.place is PlaceKind.ALTERNATIVE)
    if work.assembly != "unit-pavers":
        work = new_work(opened, PlaceKind.ALTERNATIVE, work.place_id, "unit-pavers")
        save(here.office, ready, (made("work", work),), order())
    page = here.get(f"/quick-math/base/job?job={ready}&base=7+in").text
    assert f'value="work:{work.id}"' in page
    typed = {"where": f"work:{work.id}", "base": "7 in", "bedding": "1 in", "change_id": str(uuid4())}
    answer = here.post(f"/quick-math/base/job/{ready}", typed)
    zone = next(one for one in opened.job.alternatives if one.id == work.place_id).zone_id
    assert answer.headers["location"] == f"/jobs/{ready}/plan?focus=zone:{zone}#margin-part"
    again = here.post(f"/quick-math/base/job/{ready}", typed, headers={"x-outlay-form": "1"})
    assert (again.status_code, again.headers["x-outlay-page"]) == (204, answer.headers["location"])
    set_now = next(one for one in open_job(here.office, ready).job.works if one.id == work.id).parameters
    assert (set_now["base"], set_now["bedding"]) == ("7*inch", "1*inch")
    refused = here.post(f"/quick-math/base/job/{ready}", {**typed, "bedding": "3 in", "change_id": str(uuid4())})
    assert refused.status_code == 422
    assert "this recipe takes at most" in refused.text
    now = next(one for one in open_job(here.office, ready).job.works if one.id == work.id).parameters
    assert now == set_now


@pytest.mark.parametrize("where", ["", "work:none", "new:unit-pavers", "new:none", "elsewhere"])
def test_a_place_there_is_not_changes_nothing(here: Browser, ready: UUID, where: str) -> None:
    before = open_job(here.office, ready).counter
    answer = here.post(f"/quick-math/volume/job/{ready}", {"where": where, "change_id": str(uuid4())})
    assert answer.status_code in (404, 422)
    assert open_job(here.office, ready).counter == before


def test_without_an_answer_nothing_is_added(here: Browser, ready: UUID) -> None:
    answer = here.post(f"/quick-math/volume/job/{ready}", {"where": "note", "area": "lots"})
    assert answer.status_code == 422
    sent_back = here.get(f"/quick-math/volume/job?job={ready}&area=lots")
    assert (sent_back.url.path, sent_back.status_code) == ("/quick-math/volume", 422)
    assert here.get("/quick-math/volume/job?job=none").url.path == "/quick-math/volume"


def test_recipes_and_their_numbers_that_answers_go_into_are_in_the_library(stocked: Office) -> None:
    recipes = stocked.basis().assemblies
    for one in CALCULATIONS.values():
        for target in one.targets:
            recipe = recipes[target.assembly]
            assert set(target.parameters) <= set(recipe.parameters), (one.key, target.assembly)
            assert all(one.quantity_of(name) for name in target.parameters.values())
            assert not target.new or recipe.measures in ("feature", "run")


def test_the_yard_has_it_without_money_and_writes_notes_only(stocked: Office, built: UUID) -> None:
    phone = paired(stocked, Over.SECURE, face=Face.FIELD)
    page = phone.get("/quick-math").text
    assert "/quick-math/volume" in page
    for one in CALCULATIONS.values():
        assert (f"/quick-math/{one.key}" in page) != one.money
        assert phone.get(f"/quick-math/{one.key}").status_code == (404 if one.money else 200)
    choose = phone.get(f"/quick-math/base/job?job={built}").text
    assert "own note" in choose
    assert "work:" not in choose
    answer = sent(phone, stocked, f"/quick-math/base/job/{built}", {"where": "note", "change_id": str(uuid4())})
    assert answer.status_code in (200, 204, 303)
    assert "Base and bedding:" in open_job(stocked, built).job.head.private_note
    work = open_job(stocked, built).job.works[0]
    counter = open_job(stocked, built).counter
    refused = sent(
        phone, stocked, f"/quick-math/base/job/{built}", {"where": f"work:{work.id}", "change_id": str(uuid4())}
    )
    assert refused.status_code == 422
    assert open_job(stocked, built).counter == counter


def test_jobs_to_choose_in_the_yard_are_those_being_built(stocked: Office, built: UUID) -> None:
    assert [one.id for one in quick_math_in_job.job_choices(stocked, ours=False)] == [str(built)]
    assert len(quick_math_in_job.job_choices(stocked, ours=True)) >= 1


def test_a_job_to_choose_is_told_by_its_client_at_the_office_alone(stocked: Office, built: UUID) -> None:
    client = next(one for one in every_job(stocked) if one.job_id == str(built)).client
    told = {ours: quick_math_in_job.job_choices(stocked, ours=ours) for ours in (True, False)}
    assert client
    assert any(client in one.title for one in told[True])
    assert not any(client in one.title for one in told[False])


def test_a_gas_pipe_sets_the_numbers_of_a_gas_line_and_counter_the_openings(here: Browser, ready: UUID) -> None:
    for key, kind, recipe, asked, kept in (
        ("gas-pipe", "gas", "gas-run", "heat=65000&length=80&edition=propane&content=2488", "80*foot"),
        ("kitchen-counter", "wall", "counter-block", "", "3"),
    ):
        form = {"where": f"new:{recipe}", "change_id": str(uuid4()), **dict(parse_qsl(asked))}
        assert here.post(f"/quick-math/{key}/job/{ready}", form).status_code == 303
        job = open_job(here.office, ready).job
        work = next(one for one in job.works if one.assembly == recipe)
        assert next(one for one in job.runs if one.id == work.place_id).kind == kind
        if recipe == "gas-run":
            assert work.parameters["longest"] == "960*inch"
            assert {"heat": "65000", "propane": "1"}.items() <= work.parameters.items()
            assert float(work.parameters["inside"]) in gas.INSIDE.values()
        else:
            assert work.parameters == {"openings": kept}


def test_a_new_thing_with_its_recipe_is_made_of_an_answer(here: Browser, ready: UUID) -> None:
    page = here.get(f"/quick-math/dry-well/job?job={ready}&roof=400").text
    assert 'value="new:dry-well"' in page
    form = {"where": "new:dry-well", "roof": "400", "storm": "1.5", "change_id": str(uuid4())}
    before = open_job(here.office, ready).job
    assert here.post(f"/quick-math/dry-well/job/{ready}", form).status_code == 303
    job = open_job(here.office, ready).job
    [feature] = [one for one in job.features if one not in before.features]
    [work] = [one for one in job.works if one.place_id == feature.id]
    assert work.assembly == "dry-well"
    assert (work.parameters["roof"], work.parameters["storm"]) == ("400*foot**2", "1.5*inch")
    here.post(f"/jobs/{ready}/undo", {"change_id": str(uuid4()), "sheet": "plan"})
    assert open_job(here.office, ready).job.features == before.features


def test_a_new_run_takes_its_length_and_height(here: Browser, ready: UUID) -> None:
    form = {"where": "new:retaining-wall", "length": "22 ft", "seen": "2 ft", "change_id": str(uuid4())}
    assert here.post(f"/quick-math/segmental-wall/job/{ready}", form).status_code == 303
    run = open_job(here.office, ready).job.runs[-1]
    assert (run.length, run.height, run.kind.value) == (22, 2, "wall")


def test_rows_are_typed_one_to_a_line_and_told_by_their_line(here: Browser) -> None:
    page = here.get("/quick-math/light-circuit", params={"pieces": "hub; source; 40; 10\na; hub; 10 ft; 12; 5"})
    assert page.status_code == 200
    assert "At each light" in page.text
    for typed, sentence in (
        ("hub; source; 40\na; nowhere; 10; 12; 5", "nowhere"),
        ("hub; source; long", "line 1"),
        ("hub; source; 40\nb; hub", "line 2"),
        ("hub; source; 40; 11", "none of"),
        ("hub, source, 1,200", "Put ; between"),
        ("", "nothing was typed"),
        ("x; y\n" * 700, "too many"),
    ):
        refused = here.get("/quick-math/light-circuit", params={"pieces": typed})
        assert refused.status_code == 422, typed
        assert sentence in refused.text, typed


def test_a_slope_becomes_the_fall_of_a_zone(here: Browser, ready: UUID) -> None:
    zone = open_job(here.office, ready).job.zones[0]
    page = here.get(f"/quick-math/fall/job?job={ready}&slope=1.5%25").text
    assert f'value="fall:{zone.chosen_id}"' in page
    form = {"where": f"fall:{zone.chosen_id}", "slope": "1.5%", "change_id": str(uuid4())}
    assert here.post(f"/quick-math/fall/job/{ready}", form).status_code == 303
    way = next(one for one in open_job(here.office, ready).job.alternatives if one.id == zone.chosen_id)
    assert way.fall == 0.015
    refused = here.post(f"/quick-math/volume/job/{ready}", {**form, "change_id": str(uuid4())})
    assert refused.status_code == 422


def test_every_new_thing_can_be_made_at_its_defaults(here: Browser, ready: UUID) -> None:
    for key, one in CALCULATIONS.items():
        for target in (target for target in one.targets if target.new):
            before = {work.id for work in open_job(here.office, ready).job.works}
            form = {"where": f"new:{target.assembly}", "change_id": str(uuid4())}
            answer = here.post(f"/quick-math/{key}/job/{ready}", form)
            assert answer.status_code == 303, (key, answer.text)
            made_now = [work for work in open_job(here.office, ready).job.works if work.id not in before]
            assert [work.assembly for work in made_now] == [target.assembly], key
