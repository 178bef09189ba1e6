"""The list of what is easily forgotten: every sign is known, every answer leads somewhere, and what the issue names is on it."""

import pytest

from app.domain.costing.forgotten import FACTS
from app.domain.job import EXISTING_KINDS
from app.interchange.library_file import load_library

LIBRARY = load_library()
REMINDERS = LIBRARY.reminders
ROLES = {one.role for one in LIBRARY.materials.values()}
# what the trade forgets, as public lists of contract contents and estimates have it (California B&P Code 7159; US Army
# Corps of Engineers EI 01D010; Navy NAVEDTRA 14045), and common practice for the rest
NAMED = {
    *("permits", "locate-public", "locate-private", "engineering", "toilet", "driveway", "trees", "turf", "neighbor"),
    *("lawn-repair", "sprinklers", "saw-water", "street-cleaning", "dust", "erosion", "container", "street-permit"),
    *("washout", "disconnect", "inspections", "association", "lot-lines", "lift", "weather", "temporary-fence"),
    *("key-and-gate", "final-cleaning", "photos", "warranty-visit", "as-built"),
}


def test_everything_the_trade_forgets_is_on_the_list():
    assert REMINDERS.keys() >= NAMED


@pytest.mark.parametrize("key", REMINDERS)
def test_signs_of_a_reminder_are_known_to_the_library(key):
    one = REMINDERS[key]
    for signs in (one.asked_by, one.priced_by):
        assert set(signs.recipes) <= LIBRARY.assemblies.keys()
        assert set(signs.roles) <= ROLES
        assert set(signs.tasks) <= LIBRARY.tasks.keys()
        assert set(signs.materials) <= LIBRARY.materials.keys()
        assert set(signs.cautions) <= LIBRARY.cautions.keys()
        assert set(signs.existing) <= EXISTING_KINDS.keys()
        assert set(signs.facts) <= FACTS


@pytest.mark.parametrize("key", REMINDERS)
def test_reminder_says_what_it_asks_why_and_by_what_source(key):
    one = REMINDERS[key]
    assert one.question.endswith("?")
    assert one.why.endswith(".")
    assert all((one.title, one.group, one.source))
    assert one.adds or one.exclusion, "it could not be answered but by a reason"


@pytest.mark.parametrize("key", [key for key, one in REMINDERS.items() if one.adds])
def test_recipe_that_a_reminder_adds_prices_it(key):
    one = REMINDERS[key]
    recipe = LIBRARY.assemblies[one.adds]
    assert recipe.measures in ("job", "existing")
    tasks = {use.task for use in recipe.tasks}
    roles = {part.role for part in recipe.parts}
    priced = one.priced_by
    assert recipe.key in priced.recipes or tasks & set(priced.tasks) or roles & set(priced.roles)
