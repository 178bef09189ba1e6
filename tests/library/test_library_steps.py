"""The steps of building: every step that a recipe names has a name on the crew sheet, and is done in one order."""

import tomllib
from pathlib import Path

LIBRARY = Path(__file__).parents[2] / "app" / "library"
STEPS = tomllib.loads((LIBRARY / "steps.toml").read_text(encoding="utf-8"))["step"]
RECIPES = {path.stem: tomllib.loads(path.read_text(encoding="utf-8")) for path in LIBRARY.glob("assemblies/*.toml")}


def test_every_step_is_known_and_every_known_step_is_named_somewhere():
    named = {step for recipe in RECIPES.values() for step in recipe.get("build", {}).get("order", [])}
    assert named - set(STEPS) == set()
    assert set(STEPS) - named == set()


def test_steps_have_a_title_and_nothing_that_is_not_read():
    for key, row in STEPS.items():
        assert row["title"], key
        assert set(row) <= {"title", "check", "photo"}, key


def test_pictures_of_a_step_are_of_a_step_that_the_recipe_has():
    held = {
        key: (one["build"].get("photos_after", {}), one["build"]["order"])
        for key, one in RECIPES.items()
        if "build" in one
    }
    assert [key for key, (photos, order) in held.items() if not photos.keys() <= set(order)] == []
    assert sum(bool(photos) for photos, _ in held.values()) > 20


def test_what_gets_covered_is_checked_and_photographed_before():
    for key in ("locate", "excavate", "sleeves", "drain", "base", "trades", "irrigation"):
        assert STEPS[key]["check"], key
        assert STEPS[key]["photo"], key
