"""12 V lights set on the plan by a tap: recipe and zone with it, dragged, undone; circuits and cables that follow."""

from collections.abc import Iterator
from pathlib import Path
from uuid import uuid4

import pytest

from app.domain.plan import bounds
from app.domain.takeoff.requirements import requirements
from tests.web.yard import Yard, text_of


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    one = Yard(tmp_path)
    one.zone()
    yield one
    one.close()


def tapped(yard: Yard, recipe: str, x: float, y: float, **more: str):
    sent = {"recipe": recipe, "x": str(x), "y": str(y), **more}
    return yard.post("plan/draw/light", sent, headers={"hx-trigger": "canvas"})


def test_tap_sets_a_light_with_its_recipe_in_its_zone_as_one_change(yard: Yard) -> None:
    assert tapped(yard, "path-light", 4, 3).status_code == 200
    assert tapped(yard, "tree-spot", 400, 3).status_code == 200
    first, second = yard.job.features
    assert (first.title, first.x, first.y, first.zone_id) == ("Path light 1", 4.0, 3.0, yard.job.zones[0].id)
    assert (second.title, second.zone_id) == ("Tree spot 1", None)
    works = [one for one in yard.job.works if one.place == "feature"]
    assert {one.place_id: one.assembly for one in works} == {first.id: "path-light", second.id: "tree-spot"}
    yard.post("undo", {"sheet": "plan"})
    assert yard.job.features == (first,)
    assert all(one.place_id != second.id for one in yard.job.works)


def test_tap_sent_twice_sets_one_light_and_drag_moves_it(yard: Yard) -> None:
    change = str(uuid4())
    for _ in range(2):
        assert tapped(yard, "wall-light", 4, 3, change_id=change).status_code == 200
    (light,) = yard.job.features
    version = str(yard.version("feature", light.id))
    assert yard.post(f"plan/drawn/feature/{light.id}", {"x": "9", "y": "2", "version": version}).status_code == 200
    assert (yard.job.features[0].x, yard.job.features[0].y) == (9.0, 2.0)


def test_what_is_no_light_is_refused(yard: Yard) -> None:
    assert tapped(yard, "grill", 4, 3).status_code == 422
    assert tapped(yard, "no-such", 4, 3).status_code == 422
    assert tapped(yard, "path-light", float("inf"), 3).status_code == 422
    assert yard.job.features == ()


def test_circuits_follow_and_their_cables_go_into_the_price(yard: Yard) -> None:
    assert "No lights on the plan yet" in text_of(yard.get("lights").text)
    assert yard.post("lights/take").status_code == 422
    for x in (10, 20, 28):
        tapped(yard, "path-light", x, 0)
    assert "Nothing feeds the lights" in text_of(yard.get("lights").text)
    tapped(yard, "light-transformer", 0, 0)
    page = text_of(yard.get("lights").text)
    assert "Path light 3 beside a path 2. Path light 2 : what feeds Path light 3 4 W assumed 10'-0\"" in page
    assert "Cable in all 34'-0\", 12 gauge" in page
    assert page.count(" 8'-0\"") == 2  # from the second to the third, and back
    before = yard.price
    assert yard.post("lights/take").status_code == 200
    set_on = {one.place_id: dict(one.parameters) for one in yard.job.works}
    lights = [set_on[one.id] for one in yard.job.features]
    assert lights[0] == {"cable_each": "2*foot"}  # its cable is the transformer's main
    assert lights[1:3] == [{"cable_each": "12*foot"}, {"cable_each": "10*foot"}]
    assert lights[3]["lights"] == "3"
    assert lights[3]["cable_each"] == "12*foot"
    assert yard.price != before
    assert "The price has these cables" in text_of(yard.get("lights").text)
    assert yard.post("lights/take").status_code == 422
    yard.post("undo", {"sheet": "plan"})
    assert all(not one.parameters for one in yard.job.works if one.place == "feature")


def test_cables_are_drawn_on_the_plan(yard: Yard) -> None:
    tapped(yard, "path-light", 10, 0)
    without = yard.get("plan/drawing").text
    tapped(yard, "light-transformer", 0, 0)
    assert 'stroke-dasharray="2 4"' not in without
    assert 'stroke-dasharray="2 4"' in yard.get("plan/drawing").text


def test_cables_below_paving_want_a_sleeve_and_beside_it_none(yard: Yard) -> None:
    yard.zone(title="Paved", assembly="unit-pavers")
    paved = yard.job.alternatives[-1].outline
    assert paved is not None
    tapped(yard, "path-light", -5, 6)
    tapped(yard, "light-transformer", 60, 6)
    page = text_of(yard.get("lights").text)
    assert "Trench for it, 6 in deep at least 65'-0\"" in page
    yard.post("lights/take")
    box = next(one for one in yard.job.works if one.assembly == "light-transformer")
    west, _, east, _ = bounds(paved)
    assert dict(box.parameters)["under_paving"] == f"{-(-(east - west - 0.5) // 1):g}*foot"


def test_owner_says_what_feeds_a_light_and_all_behind_it_goes_along(yard: Yard) -> None:
    for x in (10, 20, 30):
        tapped(yard, "path-light", x, 40)
    tapped(yard, "light-transformer", 0, 40)
    ids = {one.title: one.id for one in yard.job.features}
    light, box = ids["Path light 2"], next(one for title, one in ids.items() if "ransformer" in title)

    def feed(which: object, start: object):
        return yard.post(
            f"lights/feature/{which}", {"fed_from": str(start), "version": str(yard.version("feature", which))}
        )

    assert feed(light, box).status_code == 200
    page = text_of(yard.get("lights").text)
    assert "as said" in page
    assert "Cable in all 46'-0\", 12 gauge" in page  # 10, 20 and 10 ft, with 2 ft of slack each
    assert "Path light 1, 10'-0\" right, 40'-0\" up" in text_of(yard.get(f"lights?focus=light:{light}").text)
    ring = feed(light, ids["Path light 3"])
    assert ring.status_code == 422
    assert "fed through this light itself" in ring.text
    assert feed(light, uuid4()).status_code == 422
    assert feed(box, light).status_code == 422
    assert feed(light, "").status_code == 200
    assert "Cable in all 36'-0\", 12 gauge" in text_of(yard.get("lights").text)
    yard.post("undo", {"sheet": "plan"})
    assert yard.job.features[1].fed_from == box


def test_owner_says_what_a_light_takes_and_which_line_the_cables_follow(yard: Yard) -> None:
    yard.post("plan/run/new", {"kind": "edging", "title": "Edging", "points": "0,38 / 30,38"})
    for x in (10, 30):
        tapped(yard, "path-light", x, 40)
    tapped(yard, "light-transformer", 0, 40)
    light, _other, box = (one.id for one in yard.job.features)
    (run,) = yard.job.runs

    def say(which: object, **sent: str | list[str]):
        return yard.post(f"lights/feature/{which}", {**sent, "version": str(yard.version("feature", which))})

    assert say(light, watts="20 W", lamp="filament").status_code == 200
    assert (yard.job.features[0].watts, yard.job.features[0].lamp) == (20.0, "filament")
    assert "20 W filament" in text_of(yard.get("lights").text)
    for typed, words in (("bright", "Write watts"), ("900", "takes 0.1 to 500 W")):
        refused = say(light, watts=typed)
        assert refused.status_code == 422
        assert words in refused.text
        assert f'value="{typed}"' in refused.text
    assert say(box, along_ids=str(uuid4())).status_code == 422
    assert say(box, along_ids=str(run.id)).status_code == 200
    page = text_of(yard.get("lights").text)
    assert "Its cables follow “Edging”" in page
    assert "Trench for it, 6 in deep at least 38'-0\"" in page  # 30 ft of edging once, and 2 ft aside four times
    yard.post("plan/run/new", {"kind": "edging", "title": "Branch", "points": "20,38 / 20,60"})
    tapped(yard, "path-light", 20, 60)
    both = [str(one.id) for one in yard.job.runs]
    assert say(box, along_ids=both).status_code == 200
    page = text_of(yard.get("lights").text)
    assert "Its cables follow “Edging”, “Branch”, on from one to another where they meet" in page
    assert "Tee 1 where lines meet 1. Path light 1" in page
    assert yard.get(f"lights?focus=light:{box}").text.count(" checked") == 2
    assert tees_of(yard, box) is None
    assert yard.post("lights/take").status_code == 200
    assert tees_of(yard, box) == "1"  # two splices, one a conductor
    assert {"light-splice": 8.0}.items() <= bought(yard).items()  # two a light of three, and two at the tee
    assert "The price has these cables." in text_of(yard.get("lights").text)
    assert say(box, **{"along_ids.sent": "1"}).status_code == 200
    assert "Its cables go straight" in text_of(yard.get("lights").text)
    assert yard.post("lights/take").status_code == 200
    assert tees_of(yard, box) == "0"
    assert bought(yard)["light-splice"] == 6.0


def tees_of(yard: Yard, source: object) -> str | None:
    return next(one for one in yard.works if one.place_id == source).parameters.get("tees")


def bought(yard: Yard) -> dict[str, float]:
    """What all works take of each material."""
    needed, _ = requirements(yard.job, yard.office.basis())
    found: dict[str, float] = {}
    for one in needed:
        found[one.key] = found.get(one.key, 0.0) + one.amount
    return found
