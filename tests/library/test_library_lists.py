"""The lists beside the recipes: rules, existing things, early range, needs, works of every new job."""

import tomllib
from pathlib import Path

from app.domain.basis import LaborClass, Rule
from app.domain.checks.on_edges import FLUSH, HELD
from app.domain.codec import from_plain
from app.domain.findings import Severity
from app.domain.job import EXISTING_KINDS, LIMITED, ZoneKind
from app.domain.takeoff.buying import constant
from app.interchange.library_file import load_library
from app.interchange.starting_works import starting_works

LIBRARY = Path(__file__).parents[2] / "app" / "library"
PLACES = {"zone", "run", "feature"}


def read(name):
    return tomllib.loads((LIBRARY / name).read_text(encoding="utf-8"))


ASSEMBLIES = {path.stem: tomllib.loads(path.read_text(encoding="utf-8")) for path in LIBRARY.glob("assemblies/*.toml")}


def test_rules_read_as_rules_with_source_and_day_of_review():
    rules = read("rules/first.toml")["rule"]
    assert len(rules) >= 12
    for key, row in rules.items():
        rule = from_plain({"id": key, **row}, Rule)
        assert Severity(rule.severity) is not Severity.NOT_CHECKED, key
        assert all((rule.title, rule.unit, rule.source)), key
        assert "2026-11" <= rule.reviewed <= "2026-12", key


def test_every_recipe_of_an_edge_is_said_to_stand_there_or_to_be_flush():
    sections = {key: one["section"] for key, one in ASSEMBLIES.items() if one["measures"] == "edge"}
    assert len(sections) >= 12
    for key, section in sections.items():
        held = [one for one in HELD if section.startswith(one.section)]
        flush = [one for one in FLUSH if section.startswith(one)]
        assert len(held) + len(flush) == 1, key
        assert "mass" not in ASSEMBLIES[key]["drawing"] or held, key
    assert all(one.kind in LIMITED and one.why for one in HELD)
    assert {one.rule for one in HELD if one.rule} <= load_library().basis().rules.keys()


def test_labor_classes_read_with_exact_decimals():
    for key, row in read("labor.toml")["labor"].items():
        labor = from_plain({"key": key, **row}, LaborClass)
        assert str(labor.wage) == row["wage"], key
        assert 0 < labor.billable <= 1, key
        assert 0 < sum(labor.burden.values()) < 1, key


def test_own_hours_are_borne_by_the_owners_classes():
    own = {key for key, row in read("labor.toml")["labor"].items() if row["own"]}
    tasks = read("tasks/own-hours.toml")["task"]
    for key, assembly in ASSEMBLIES.items():
        if assembly["group"] == "own hours":
            assert assembly["measures"] == "job", key
            assert all(tasks[use["task"]]["crew"] in own for use in assembly["task"]), key


def test_every_kind_of_existing_thing_has_its_fates():
    fates = read("existing.toml")["existing"]
    assert set(fates) == set(EXISTING_KINDS)
    for kind, row in fates.items():
        assert set(row) == {"goes", "protected", "moves"}, kind
        for key in filter(None, row.values()):
            assert ASSEMBLIES[key]["measures"] == "existing", key
            assert kind in ASSEMBLIES[key]["suits"], f"{key} is not offered for {kind}"


def test_every_new_job_starts_with_all_own_hours():
    works = [row["assembly"] for row in read("own_hours.toml")["work"]]
    assert len(works) == len(set(works))
    own = {key for key, assembly in ASSEMBLIES.items() if assembly["group"] == "own hours"}
    assert own <= set(works)
    assert all(ASSEMBLIES[key]["measures"] == "job" for key in works)


def test_every_kind_of_zone_has_an_early_recipe_and_needs():
    early, needs = read("early.toml"), read("needs.toml")["needs"]
    kinds = {kind.value for kind in ZoneKind}
    assert set(early["zone"]) == kinds == set(needs)
    for kind, row in early["zone"].items():
        assert 0 < row["small"] < row["medium"] < row["large"], kind
        for work in row["work"]:
            assert work["place"] in PLACES
            assert ASSEMBLIES[work["assembly"]]["measures"] == work["place"], work["assembly"]
            if work["place"] == "run":
                assert ("length" in work) != ("outline_share" in work), work
            if work["place"] == "feature":
                assert work["count"] > 0
    for kind, words in needs.items():
        assert len(words) == len(set(words)) > 2, kind
    assert early["access"]["easy"]["labor"] <= early["access"]["tight"]["labor"] <= early["access"]["hard"]["labor"]
    assert early["accuracy"]["low"] < 0 < early["accuracy"]["high"]


def test_cautions_are_two_to_four_sentences_and_are_all_used():
    cautions = read("cautions.toml")["caution"]
    used = {c for assembly in ASSEMBLIES.values() for c in assembly.get("safety", {}).get("cautions", [])}
    assert set(cautions) == used
    for key, row in cautions.items():
        assert all((row["title"], row["source"])), key
        assert 2 <= row["words"].count(". ") + 1 <= 5, key


def test_no_own_hours_begin_at_nothing_and_every_job_begins_with_them():
    # design, selections, layout, supervision, buying, meetings, inspections, close-out: each a recipe with hours above none
    basis = load_library().basis()
    own = {key: one for key, one in basis.assemblies.items() if one.group == "own hours"}
    assert {one.assembly for one in starting_works()} >= own.keys()
    assert len(own) == 8
    for one in own.values():
        hours = [parameter for parameter in one.parameters.values() if "hour" in parameter.value]
        assert hours, one.key
        assert all(constant(parameter.value)[0] > 0 for parameter in hours), one.key
        assert any(constant(parameter.least)[0] > 0 for parameter in hours), one.key
    assert {"inspections", "own-close-out"} <= own.keys()
