"""Plants, lights and sprinkler heads set on the plan one after another: by finger on a phone, by keys on a laptop; dragged, taken back."""

from collections.abc import Iterator
from uuid import UUID

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.drawing_hand import begun_many
from tests.browser.test_canvas_tools import Hand, opened
from tests.served import Server, serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]
LIGHT, PLANTS = 7, 8  # places in the list of what can be drawn
BED = "POLYGON ((0 0, 20 0, 20 12, 0 12, 0 0))"


@pytest.fixture(scope="module")
def yards(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Server, Iterator[UUID]]]:
    data = tmp_path_factory.mktemp("placed") / "data"
    jobs = begun_many(data, 3, Border=BED)
    with serving(data) as server:
        yield server, iter(jobs)


@pytest.fixture
def finger(chromium: Browser, yards: tuple[Server, Iterator[UUID]]) -> Iterator[Hand]:
    yield from opened(chromium, yards, "phone")


@pytest.fixture
def keys(chromium: Browser, yards: tuple[Server, Iterator[UUID]]) -> Iterator[Hand]:
    yield from opened(chromium, yards, "laptop")


def planted(hand: Hand) -> None:
    bed = str(hand.job.alternatives[0].id)
    hand.post("beds/planting/new", bed=bed, species="ilex-glabra")
    hand.further()


def test_plants_and_lights_are_set_by_taps_and_one_is_dragged(finger: Hand) -> None:
    planted(finger)
    finger.draw("Plant")
    for at in ((4, 4), (9, 5), (15, 8)):
        finger.drawn(lambda at=at: finger.tap(at))
    finger.press("Done")
    placed = finger.job.plantings[1]
    assert placed.points == ((4, 4), (9, 5), (15, 8))
    finger.select((9, 5), "Ilex glabra")
    finger.press("Move it")
    finger.drawn(lambda: finger.drag((9, 5), (11, 3)))
    assert finger.job.plantings[1].points == ((4, 4), (11, 3), (15, 8))
    finger.press("Done")
    finger.draw("Light")
    finger.page.get_by_label("What is set").select_option(value="path-light")
    for at in ((2, -4), (10, -4)):
        finger.drawn(lambda at=at: finger.tap(at))
    finger.press("Done")
    assert [(one.title, one.x, one.y) for one in finger.job.features] == [
        ("Path light 1", 2, -4),
        ("Path light 2", 10, -4),
    ]
    finger.drawn(lambda: finger.page.locator("#undo button").tap())
    assert [one.title for one in finger.job.features] == ["Path light 1"]
    expect(finger.page.locator("#canvas-said")).to_have_text("")


def test_plants_and_lights_are_set_by_keys_alone(keys: Hand) -> None:
    planted(keys)
    keys.key_to("draw", PLANTS)
    keys.drawn(lambda: keys.keys("Enter"))
    keys.drawn(lambda: keys.keys("Shift+ArrowRight*2", "Enter"))
    first, second = keys.job.plantings[1].points
    assert second == pytest.approx((first[0] + 2, first[1]))
    keys.keys("Escape")
    keys.key_to("draw", LIGHT)
    keys.drawn(lambda: keys.keys("Shift+ArrowDown*3", "Enter"))
    light = keys.job.features[0]
    assert light.y == pytest.approx(first[1] - 3)


def test_heads_of_a_valve_are_set_by_taps_with_what_is_said_of_them_once(finger: Hand) -> None:
    finger.draw("Sprinkler head")
    for name, value in (("Kind of head", "rotor"), ("Arc", "180"), ("Faces", "90")):
        finger.page.get_by_label(name, exact=True).select_option(value=value)
    finger.page.get_by_label("Throw", exact=True).fill("25")
    finger.page.get_by_label("Flow of each").fill("2.5")
    for at in ((4, 4), (9, 5), (15, 8)):
        finger.drawn(lambda at=at: finger.tap(at))
    finger.press("Done")
    valve, *heads = sorted(finger.job.existing, key=lambda one: (one.kind != "valve", one.title))
    assert [(one.title, one.x, one.y) for one in heads] == [
        ("Valve 1, head 1", 4, 4),
        ("Valve 1, head 2", 9, 5),
        ("Valve 1, head 3", 15, 8),
    ]
    said = {(one.valve_id, one.head, one.throw, one.arc, one.faces, one.flow) for one in heads}
    assert said == {(valve.id, "rotor", 25.0, 180.0, 90.0, 2.5)}
    expect(finger.page.locator("#canvas-said")).to_have_text("")
