"""Copying zones and jobs, and newer editions of recipes."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from app.db.files import FileStore
from app.domain.basis import TaskUse
from app.domain.change import Edit
from app.domain.codec import canonical_bytes, content_hash, to_plain
from app.domain.job import Job, PlaceKind
from app.domain.takeoff.edition import edition_name
from app.services import jobs
from app.services.changes import fields_of
from app.services.editions import newer_editions
from app.services.jobs import NewJob, begin_job, changed, save
from tests.web.yard import SHIPPED, Yard, order, text_of

DIG = "excavate-and-haul"  # what both of these include
OTHER = "concrete-slab"


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    yield opened
    opened.close()


def another_job(yard: Yard) -> UUID:
    return begin_job(yard.office, NewJob(name="Teodor Asante", street="5 Mill Race"), order())


def furnish(yard: Yard) -> UUID:
    """A zone with a recipe set differently, a wall, a grill, and a decided edge to open ground."""
    zone = yard.zone(assembly="unit-pavers")
    work = yard.works[0]
    yard.post(f"plan/work/{work.id}/parameter", {"name": "base", "formula": "9", "version": "1000000"})
    yard.post("plan/run/new", {"title": "Wall", "kind": "wall", "length": "10", "zone_id": str(zone)})
    yard.post("plan/work/new", {"place": "run", "place_id": str(yard.job.runs[0].id), "assembly": "seat-wall"})
    yard.post("plan/feature/new", {"title": "Grill", "count": "1", "zone_id": str(zone)})
    yard.post(f"plan/zone/{zone}/edge", {"neighbor": "ground", "decision": "nothing"})
    return zone


def said(job: Job) -> list:
    """What a job's design says, without ids."""
    placed = [w for w in job.works if w.place is not PlaceKind.JOB]
    return [
        [(z.letter, z.title, z.kind) for z in job.zones],
        [(a.title, a.outline, a.measured) for a in job.alternatives],
        sorted((w.place, w.assembly, tuple(w.parameters.items())) for w in placed),
        [(r.title, r.length) for r in job.runs],
        [(f.title, f.count) for f in job.features],
        [(e.neighbor, e.choice) for e in job.edges],
    ]


def test_zone_is_copied_whole_with_references_to_its_own_copies(yard: Yard) -> None:
    zone, other = furnish(yard), another_job(yard)
    form = yard.browser.get(f"/jobs/{yard.id}/zone/{zone}/copy")
    assert "Teodor Asante" in form.text
    answer = yard.browser.post(f"/jobs/{yard.id}/zone/{zone}/copy", {"to_job": str(other), "change_id": str(uuid4())})
    assert answer.status_code == 200
    assert "Same recipes" in text_of(answer.text)
    copy = jobs.open_job(yard.office, other).job
    assert said(copy) == said(yard.job)
    (new,) = copy.zones
    assert new.id != zone
    assert new.chosen_id == copy.alternatives[0].id
    assert {one.zone_id for one in (*copy.alternatives, *copy.runs, *copy.features, *copy.edges)} == {new.id}


def test_zone_copied_to_where_it_is_or_to_no_job_is_refused(yard: Yard) -> None:
    zone = furnish(yard)
    before = yard.job
    for to_job, status in ((str(yard.id), 422), (str(uuid4()), 404), ("", 422), ("x", 422)):
        answer = yard.browser.post(f"/jobs/{yard.id}/zone/{zone}/copy", {"to_job": to_job})
        assert answer.status_code == status, to_job
    assert yard.job == before
    assert yard.browser.get(f"/jobs/{yard.id}/zone/{uuid4()}/copy").status_code == 404


def test_copy_lists_recipes_that_are_newer_and_is_undone_as_one(yard: Yard) -> None:
    zone, other = furnish(yard), another_job(yard)
    edit_recipe(yard)
    answer = yard.browser.post(f"/jobs/{yard.id}/zone/{zone}/copy", {"to_job": str(other), "change_id": str(uuid4())})
    assert "is a newer edition of the recipe" in text_of(answer.text)
    yard.browser.post(f"/jobs/{other}/undo", {"sheet": "plan", "change_id": str(uuid4())}, htmx=True)
    assert jobs.open_job(yard.office, other).job.zones == ()


def test_job_is_copied_for_another_client_without_its_yard(yard: Yard) -> None:
    furnish(yard)
    yard.post("site/existing/new", {"title": "Old patio", "kind": "concrete", "fate": "goes", "area": "90"})
    assert "Name of the new client" in yard.browser.get(f"/jobs/{yard.id}/copy").text
    answer = yard.browser.post(f"/jobs/{yard.id}/copy", {"name": "Priya Lindqvist", "change_id": str(uuid4())})
    assert answer.status_code == 200
    new_id = UUID(answer.text.split('href="/jobs/')[1].split("/")[0])
    copy = jobs.open_job(yard.office, new_id).job
    assert copy.client.name == "Priya Lindqvist"
    assert copy.existing == ()
    mine = [w for w in yard.job.works if w.place is not PlaceKind.EXISTING]
    assert sorted(w.assembly for w in copy.works) == sorted(w.assembly for w in mine)
    assert said(copy) == said(replace(yard.job, works=tuple(mine)))
    assert yard.browser.post(f"/jobs/{yard.id}/copy", {"name": ""}).status_code == 422


def test_home_leads_to_the_copy_of_a_job(yard: Yard) -> None:
    assert "Copy a job" in yard.browser.get("/").text
    answer = yard.browser.get(f"/copy?job={yard.id}")
    assert answer.url.path == f"/jobs/{yard.id}/copy"
    assert yard.browser.get("/copy?job=x").status_code == 422


def edit_recipe(yard: Yard) -> str:
    """The firm writes a newer edition of a recipe, with one more task; its hash."""
    newer = replace(SHIPPED.assemblies["unit-pavers"], tasks=(TaskUse(task="lay-pavers", amount="area * 3"),))
    edit = Edit(kind="assembly", thing_id=newer.key, version=0, before=None, after=fields_of(newer, "assembly"))
    save(yard.office, None, (edit,), order())
    return edition_name(yard.office.basis().assemblies, "unit-pavers")


def edit_included(yard: Yard) -> None:
    """The firm writes a newer edition of what `unit-pavers` and others include: it takes more labor."""
    more = tuple(replace(task, amount=f"({task.amount}) * 2") for task in SHIPPED.assemblies[DIG].tasks)
    newer = replace(SHIPPED.assemblies[DIG], tasks=more)
    edit = Edit(kind="assembly", thing_id=DIG, version=0, before=None, after=fields_of(newer, "assembly"))
    save(yard.office, None, (edit,), order())


def test_newer_edition_is_offered_with_its_price_difference_and_not_taken_by_itself(yard: Yard) -> None:
    zone = yard.zone(assembly="unit-pavers")
    before, old = yard.price, yard.works[0].assembly_hash
    newer = edit_recipe(yard)
    assert newer != old
    assert yard.price == before
    (offered,) = newer_editions(yard.office, jobs.open_job(yard.office, yard.id))
    assert (offered.key, offered.places) == ("unit-pavers", 1)
    assert "newer edition" in text_of(yard.get(f"plan?focus=zone:{zone}").text)
    assert "Take the newer edition" in text_of(yard.get("estimate").text)
    yard.post("plan/newer-edition", {"assembly": "unit-pavers", "focus": f"zone:{zone}"})
    assert yard.works[0].assembly_hash == newer
    assert yard.price == before + offered.difference
    assert offered.difference != 0
    assert newer_editions(yard.office, jobs.open_job(yard.office, yard.id)) == ()
    yard.post("undo", {"sheet": "plan"})
    assert yard.price == before


def test_work_placed_later_is_of_the_edition_the_job_holds(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    edit_recipe(yard)
    yard.zone(title="Walk", kind="path", assembly="unit-pavers")
    assert len({work.assembly_hash for work in yard.works}) == 1


def test_recipe_it_includes_is_part_of_the_newer_edition_and_not_taken_by_itself(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    before = yard.price
    edit_included(yard)
    assert yard.price == before
    (offered,) = newer_editions(yard.office, jobs.open_job(yard.office, yard.id))
    assert (offered.key, offered.within) == ("unit-pavers", (SHIPPED.assemblies[DIG].title,))
    assert offered.difference > 0
    assert f"Newer in it: {SHIPPED.assemblies[DIG].title}" in text_of(yard.get("estimate").text)
    yard.post("plan/newer-edition", {"assembly": "unit-pavers"})
    assert yard.price == before + offered.difference
    assert newer_editions(yard.office, jobs.open_job(yard.office, yard.id)) == ()


def test_taking_a_newer_edition_moves_what_includes_the_same_recipe_in_one_change(yard: Yard) -> None:
    """A job has one edition of each recipe; the price said before is that of the whole job."""
    yard.zone(assembly="unit-pavers")
    edit_recipe(yard)
    yard.zone(title="Slab", kind="service", assembly=OTHER)
    edit_included(yard)
    before = yard.price
    offers = {one.key: one for one in newer_editions(yard.office, jobs.open_job(yard.office, yard.id))}
    assert offers.keys() == {"unit-pavers", OTHER}
    assert "<summary>2 recipes have a newer edition</summary>" in yard.get("plan").text  # folded: a form may follow
    yard.post("plan/newer-edition", {"assembly": OTHER})
    assert yard.price == before + offers[OTHER].difference
    (left,) = newer_editions(yard.office, jobs.open_job(yard.office, yard.id))
    assert (left.key, left.within) == ("unit-pavers", ())
    assert "have a newer edition" not in yard.get("plan").text  # the only one stands open
    price = yard.price
    yard.office.database.memory.clear()  # what was taken stands on the disk, not in memory
    assert yard.price == price
    yard.post("undo", {"sheet": "plan"})
    assert yard.price == before


def test_job_placed_after_the_library_moved_keeps_what_the_job_holds_of_it(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    edit_included(yard)
    yard.zone(title="Slab", kind="service", assembly=OTHER)
    held = jobs.open_job(yard.office, yard.id).basis.assemblies
    assert held[DIG] == SHIPPED.assemblies[DIG]
    yard.office.database.memory.clear()
    assert jobs.open_job(yard.office, yard.id).basis.assemblies[DIG] == SHIPPED.assemblies[DIG]
    assert {one.key for one in newer_editions(yard.office, jobs.open_job(yard.office, yard.id))} == {
        "unit-pavers",
        OTHER,
    }


def test_edition_named_in_the_earlier_form_is_still_the_same_recipe_and_held_when_the_library_moves(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    work, shipped = yard.works[0], SHIPPED.assemblies["unit-pavers"]
    earlier = FileStore(yard.office.settings.files).keep(canonical_bytes(to_plain(shipped)))
    assert earlier == content_hash(shipped)
    edit = changed("work", work.id, 1, {"assembly_hash": earlier})
    save(yard.office, yard.id, (edit,), order())
    before = yard.price
    assert newer_editions(yard.office, jobs.open_job(yard.office, yard.id)) == ()
    edit_recipe(yard)
    assert yard.price == before
    (offered,) = newer_editions(yard.office, jobs.open_job(yard.office, yard.id))
    yard.post("plan/newer-edition", {"assembly": "unit-pavers"})
    assert yard.price == before + offered.difference != before


def test_recipe_the_job_does_not_use_has_no_edition_to_take(yard: Yard) -> None:
    assert yard.post("plan/newer-edition", {"assembly": "no-such"}).status_code == 404
    assert yard.post("plan/newer-edition", {"assembly": ""}).status_code == 422
