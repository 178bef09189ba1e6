"""The pattern of a zone on the plan: one test a thing a person does, with good input and bad."""

import re
from collections.abc import Iterator
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from app.domain.job import BorderCourse, Laying
from app.domain.plan.placing import placing_of
from app.domain.takeoff.requirements import requirements
from app.services import jobs
from app.services.placing_plan import copy_thing, place_all
from tests.web.yard import Yard, order, text_of


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    yield opened
    opened.close()


@pytest.fixture
def work_id(yard: Yard) -> UUID:
    """A terrace of 20 by 12 ft in small pavers of 6 by 9 in."""
    yard.zone(assembly="unit-pavers")
    return yard.works[0].id


def lay(yard: Yard, work_id: UUID, **fields: str):
    version = str(yard.version("work", work_id))
    typed = {"pattern": "running-half", "corners": "miter", "version": version, "focus": focus(yard), **fields}
    return yard.post(f"plan/work/{work_id}/pattern", typed)


def focus(yard: Yard) -> str:
    return f"zone:{yard.job.zones[0].id}"


def laying(yard: Yard) -> Laying | None:
    return yard.works[0].laying


def test_a_zone_without_a_pattern_is_counted_by_area(yard: Yard, work_id: UUID) -> None:
    page = yard.get(f"plan?focus={focus(yard)}")
    assert "counted by area" in text_of(page.text)
    assert f"plan/work/{work_id}/pattern" in page.text


def test_a_pattern_comes_back_with_its_counts_and_the_price_moves(yard: Yard, work_id: UUID) -> None:
    answer = lay(yard, work_id)
    assert answer.status_code == 200
    words = text_of(answer.text)
    assert laying(yard) == Laying(pattern="running-half")
    assert "Field, running bond, half" in words
    assert "Units opened" in words
    assert "lined up with the longest edge, 20'" in words.lower()
    assert "beyond the area, as is customary for straight work" in words
    assert "<use" in answer.text  # the plan draws the units


def test_every_count_opens_to_where_it_comes_from(yard: Yard, work_id: UUID) -> None:
    page = lay(yard, work_id, border="soldier", second="sailor").text
    doors = set(re.findall(rf'href="(/jobs/{yard.id}/why/laid:{work_id}:\w+)"', page))
    assert {door.rpartition(":")[2] for door in doors} == {"units", "possible", "cuts", "saw", "small", "waste"}
    for door in doors:
        shown = yard.browser.get(door)
        assert shown.status_code == 200, door
        assert re.search(r"\d", text_of(shown.text))


def test_a_border_of_another_material_is_its_own_line(yard: Yard, work_id: UUID) -> None:
    answer = lay(yard, work_id, border="soldier", border_material="paver-brick-smoke", corners="butt")
    assert answer.status_code == 200
    assert laying(yard) == Laying(borders=(BorderCourse(material="paver-brick-smoke"),), corners="butt")
    assert "Border course 1, soldier, Concrete brick paver, smoke" in text_of(answer.text)
    assert "Concrete brick paver, smoke" in text_of(yard.get("estimate").text)


def test_what_was_typed_is_there_to_be_typed_again(yard: Yard, work_id: UUID) -> None:
    lay(yard, work_id, angle="30", joint="1/8 in", start_x="2", start_y="3")
    assert laying(yard) == Laying(angle=30, joint=pytest.approx(1 / 8 / 12), start=(2, 3))
    page = yard.get(f"plan?focus={focus(yard)}").text
    for name, value in (("angle", "30"), ("start_x", "2'"), ("joint", "1/8")):
        assert re.search(rf'name="{name}"[^>]*value="[^"]*{re.escape(value)}', page.replace("&#39;", "'")), name
    assert "Set by hand" in text_of(page)


def test_an_empty_pattern_takes_it_off_and_undo_brings_it_back(yard: Yard, work_id: UUID) -> None:
    lay(yard, work_id)
    assert lay(yard, work_id, pattern="").status_code == 200
    assert laying(yard) is None


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"pattern": "chevron"}, "choose one of the list"),
        ({"pattern": "basket"}, "gaps of 3 in"),
        ({"angle": "north"}, "cannot be read"),
        ({"joint": "3 in"}, "between 0 and 2 in"),
        ({"start_x": "3"}, "both lengths"),
        ({"border": "soldier", "border_material": "gold"}, "not in the library"),
        ({"corners": "round"}, "choose one of the list"),
    ],
)
def test_what_cannot_be_laid_is_refused_beside_its_field(
    yard: Yard, work_id: UUID, fields: dict[str, str], said: str
) -> None:
    answer = lay(yard, work_id, **fields)
    assert answer.status_code == 422
    assert said in text_of(answer.text)
    assert laying(yard) is None


def test_a_pattern_read_before_somebody_changed_it_is_not_written_over(yard: Yard, work_id: UUID) -> None:
    version = str(yard.version("work", work_id))
    lay(yard, work_id)
    lay(yard, work_id, pattern="stack", version=version)
    assert laying(yard) == Laying(pattern="running-half")


def test_a_better_start_line_is_looked_for_and_kept_with_its_reason(yard: Yard, work_id: UUID) -> None:
    lay(yard, work_id)
    answer = yard.post(f"plan/work/{work_id}/start", {"focus": focus(yard)})
    assert answer.status_code == 200
    found = laying(yard)
    assert found is not None
    assert found.start is not None
    assert "of 36 starts tried" in found.because or "none of 36" in found.because
    assert "36 starts tried" in text_of(answer.text)
    # saved again as shown, the start and its reason stay
    page = yard.get(f"plan?focus={focus(yard)}").text.replace("&#39;", "'").replace("&#34;", '"')
    shown = {name: value_of(page, name) for name in ("start_x", "start_y", "angle")}
    assert lay(yard, work_id, **shown).status_code == 200
    assert laying(yard) == found


def value_of(page: str, name: str) -> str:
    start = page.index(f'name="{name}"')
    return page[start:].split('value="')[1].split('" autocomplete', maxsplit=1)[0]


def test_looking_for_a_start_without_a_pattern_is_refused(yard: Yard, work_id: UUID) -> None:
    answer = yard.post(f"plan/work/{work_id}/start", {"focus": focus(yard)})
    assert answer.status_code == 422
    assert "Choose a pattern first" in text_of(answer.text)


def test_a_work_that_is_gone_is_not_found(yard: Yard) -> None:
    assert yard.post(f"plan/work/{uuid4()}/pattern", {"pattern": "stack"}).status_code == 404
    assert yard.post(f"plan/work/{uuid4()}/start", {}).status_code == 404


def test_what_cannot_be_laid_any_more_is_said_on_the_zone(yard: Yard, work_id: UUID) -> None:
    lay(yard, work_id, border="soldier")
    way = yard.job.alternatives[0]
    version = str(yard.version("alternative", way.id))
    small = {"outline.shape": "rectangle", "outline.width": "1", "outline.depth": "12", "version": version}
    assert yard.post(f"plan/alternative/{way.id}", small).status_code == 200
    words = text_of(yard.get(f"plan?focus={focus(yard)}").text)
    assert "cannot be laid" in words
    assert "leave no field" in words


def test_the_crew_sheet_says_where_laying_starts_and_what_is_cut(yard: Yard, work_id: UUID) -> None:
    lay(yard, work_id, border="soldier", start_x="2", start_y="-3", angle="0")
    page = yard.get(f"build/crew/{yard.job.zones[0].id}")
    assert page.status_code == 200
    words = text_of(page.text)
    assert "How it is laid" in words
    assert "2'-0\" right, 3'-0\" down from the datum" in words
    assert "set by hand" in words
    assert words.index("Border course 1, soldier") < words.index("Field, running bond, half")  # the border first
    assert "mitered" in words
    assert "<use" in page.text


def units_needed(yard: Yard) -> dict[str, float]:
    opened = jobs.open_job(yard.office, yard.id)
    needed = requirements(opened.job, opened.basis)[0]
    return {f"{one.work_id} {one.role}": one.amount for one in needed if one.role in {"finish", "border"}}


@pytest.mark.parametrize("fields", [{}, {"angle": "30", "start_x": "2", "start_y": "3", "border": "soldier"}])
def test_moving_and_turning_the_plan_lays_the_same_units(yard: Yard, work_id: UUID, fields: dict[str, str]) -> None:
    lay(yard, work_id, **fields)
    before = units_needed(yard)
    place_all(yard.office, yard.id, placing_of(east=7, north=-3, turn=25, about=(1, 2)), order("Turned"))
    after = laying(yard)
    assert after is not None
    assert after.angle == (pytest.approx(55) if fields else None)
    assert units_needed(yard) == pytest.approx(before)


def test_a_copy_of_a_zone_is_laid_from_its_own_start(yard: Yard, work_id: UUID) -> None:
    lay(yard, work_id, angle="0", start_x="2", start_y="3")
    zone_id = yard.job.zones[0].id
    copy_thing(yard.office, yard.id, "zone", zone_id, placing_of(east=30.25), order("Copied"))
    starts = sorted(work.laying.start for work in yard.works if work.laying)
    assert starts == [(2, 3), (32.25, 3)]
    assert len(set(units_needed(yard).values())) == 1


def test_border_goes_around_an_opening_where_that_is_asked_for(yard: Yard) -> None:
    ring = {"outline.shape": "points", "outline.points": "0,0 / 20,0 / 20,12 / 0,12"}
    yard.zone(assembly="unit-pavers", **ring)
    work = yard.works[0]
    assert "goes around openings" not in yard.get(f"plan?focus={focus(yard)}").text
    assert lay(yard, work.id, border="soldier", inner="yes").status_code == 200
    assert laying(yard).inner


def test_sizes_of_a_mixed_pattern_are_given_their_materials(yard: Yard, work_id: UUID) -> None:
    lay(yard, work_id, pattern="two-size")
    page = yard.get(f"plan?focus={focus(yard)}").text
    assert "of 6 × 6 in, bought as" in text_of(page)
    assert "they are priced as one material by their area" in text_of(yard.get("checks").text)
    assert lay(yard, work_id, pattern="two-size", second_size="paver-cobble-harvest-square").status_code == 200
    assert laying(yard).other_sizes == ("paver-cobble-harvest-square", "")
    answer = lay(yard, work_id, pattern="two-size", second_size="paver-brick-smoke")
    assert answer.status_code == 422
    assert "takes 6 × 6 in there" in answer.text
    assert lay(yard, work_id, pattern="two-size", second_size="no-such-unit").status_code == 422
    assert laying(yard).other_sizes == ("paver-cobble-harvest-square", "")
    lay(yard, work_id, pattern="stack")
    assert laying(yard).other_sizes == ()


def test_the_border_runs_along_chosen_sides_by_table_and_by_the_number_on_the_plan(yard: Yard, work_id: UUID) -> None:
    page = lay(yard, work_id, border="soldier")
    zone_id = yard.job.zones[0].id
    keys = re.findall(r'name="along" value="([^"]*)"', page.text)
    assert len(keys) == 4
    assert len(re.findall(rf'href="[^"]*focus=side:{zone_id}:\d', page.text)) == 4
    lay(yard, work_id, **{"border": "soldier", "along.sent": "1", "along": keys[0]})
    assert list(yard.works[0].laying.along) == [tuple(map(float, keys[0].split()))]
    costs = yard.price
    side = f"side:{zone_id}:2"
    assert "none here" in text_of(yard.get(f"plan?focus={side}").text)
    on = {"number": "2", "on": "1", "version": str(yard.version("work", work_id)), "focus": side}
    answer = yard.post(f"plan/work/{work_id}/border-side", on)
    assert answer.status_code == 200
    assert "runs along it" in text_of(answer.text)
    assert len(yard.works[0].laying.along) == 2
    assert yard.price != costs
    for number in (3, 4):
        yard.post(f"plan/work/{work_id}/border-side", {**on, "number": str(number), "version": "1000000"})
    assert yard.works[0].laying.along == ()  # all four: all around


def test_the_last_side_with_a_border_and_nonsense_are_refused(yard: Yard, work_id: UUID) -> None:
    page = lay(yard, work_id, border="soldier")
    first = re.findall(r'name="along" value="([^"]*)"', page.text)[0]
    lay(yard, work_id, **{"border": "soldier", "along.sent": "1", "along": first})
    off = {"number": "1", "on": "", "version": "1000000", "focus": f"side:{yard.job.zones[0].id}:1"}
    refused = yard.post(f"plan/work/{work_id}/border-side", off)
    assert refused.status_code == 422
    assert "only side with a border" in text_of(refused.text)
    before = laying(yard)
    for bad in ("here", "900000 0", "nan nan"):
        assert lay(yard, work_id, **{"border": "soldier", "along.sent": "1", "along": bad}).status_code == 422, bad
    assert laying(yard) == before
