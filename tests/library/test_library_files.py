"""The shipped library as files: every reference resolves, every figure says where it comes from."""

import re
import tomllib
from pathlib import Path

import pytest

from app.domain.job import EXISTING_KINDS, RunKind, ZoneKind
from app.domain.takeoff.laid import BORDER_ROLES, SIZE_ROLES

LIBRARY = Path(__file__).parents[2] / "app" / "library"
MEASURES = {"zone", "run", "edge", "feature", "existing", "job"}
HATCHES = {
    *("herringbone", "running", "stack", "basket", "flag", "gravel", "gravel-fine", "slab", "turf", "planting"),
    *("mulch", "water", "deck", "wall", "stone", "stipple", "none"),
}
SUITS = {k.value for k in ZoneKind} | {k.value for k in RunKind} | set(EXISTING_KINDS)


def read(path):
    return tomllib.loads(path.read_text(encoding="utf-8"))


def tables(folder, table):
    found = {}
    for path in sorted((LIBRARY / folder).glob("*.toml")):
        for key, value in read(path)[table].items():
            assert key not in found, f"{key} stands twice, again in {path.name}"
            found[key] = value
    return found


ASSEMBLIES = {path.stem: read(path) for path in sorted((LIBRARY / "assemblies").glob("*.toml"))}
MATERIALS = tables("materials", "material")
TASKS = tables("tasks", "task")
CAUTIONS = read(LIBRARY / "cautions.toml")["caution"]
LABOR = read(LIBRARY / "labor.toml")["labor"]


@pytest.mark.parametrize("key", ASSEMBLIES)
def test_assembly_refers_only_to_what_exists(key):
    assembly = ASSEMBLIES[key]
    assert assembly["key"] == key
    assert assembly["measures"] in MEASURES
    for part in assembly.get("part", []):
        assert MATERIALS[part["material"]]["role"] == part["role"] or part["role"] in (*BORDER_ROLES, *SIZE_ROLES)
    for use in assembly.get("task", []):
        assert use["task"] in TASKS
    for include in assembly.get("include", []):
        inner = ASSEMBLIES[include["assembly"]]
        assert inner["measures"] == assembly["measures"]
        assert set(include) - {"assembly", "when"} <= set(inner["parameter"])
    assert set(assembly.get("safety", {}).get("cautions", [])) <= set(CAUTIONS)
    assert set(assembly["suits"]) <= SUITS
    assert assembly.get("drawing", {}).get("hatch", "none") in HATCHES


@pytest.mark.parametrize("key", ASSEMBLIES)
def test_assembly_says_what_it_is_where_it_belongs_and_what_it_rests_on(key):
    assembly = ASSEMBLIES[key]
    assert re.fullmatch(r"\d\d \d\d \d\d(\.\d\d)?", assembly["section"])
    assert assembly["words"].endswith(".")
    assert assembly["source"]
    assert assembly["build"]["words"], "the crew needs its lines"
    assert assembly.get("part") or assembly.get("task") or assembly.get("include")
    for name, parameter in assembly.get("parameter", {}).items():
        assert parameter["label"], name
        assert parameter["source"], name


def test_every_material_and_task_says_its_source():
    for key, value in {**MATERIALS, **TASKS}.items():
        assert value["source"], key


def test_hours_rise_from_low_to_high_and_are_never_free():
    for key, task in TASKS.items():
        low, likely, high = task["hours"]
        assert 0 < low <= likely <= high, key
        low, likely, high = task.get("setup", [0, 0, 0])
        assert 0 <= low <= likely <= high, key
        assert task["crew"] in LABOR, key


def test_what_digs_carries_the_digging_caution():
    digging = {"excavate-and-haul", "trench-and-haul", "pit-and-haul"}
    for key, assembly in ASSEMBLIES.items():
        if key in digging or any(i["assembly"] in digging for i in assembly.get("include", [])):
            assert "dig" in assembly["safety"]["cautions"], key


def test_what_cuts_stone_or_concrete_carries_the_dust_caution():
    cutting = {"cut-units", "saw-slab", "break-concrete", "saw-joints"}
    for key, assembly in ASSEMBLIES.items():
        if any(use["task"] in cutting for use in assembly.get("task", [])):
            assert "silica" in assembly["safety"]["cautions"], key


def test_finishes_can_be_drawn():
    finishes = {k: m for k, m in MATERIALS.items() if m.get("finish")}
    assert len(finishes) >= 25
    for key, material in finishes.items():
        assert re.fullmatch(r"#[0-9a-f]{6}", material["color"]), key
        assert material["hatch"] in HATCHES, key
        assert material["family"] in {"warm", "cool", "neutral"}, key
        assert material["sheen"] in {"matt", "satin", "gloss"}, key


def test_burden_carries_the_employers_statutory_shares():
    # 26 U.S.C. 3111: 6.2 % and 1.45 % of wages
    for key, labor in LABOR.items():
        assert labor["burden"]["social security"] == "0.062", key
        assert labor["burden"]["medicare"] == "0.0145", key


def test_gas_and_line_voltage_name_the_licensed_trade():
    by_trade = {"gas-fitter": "gas", "electrician": "electricity", "plumber": "potable"}
    for key, assembly in ASSEMBLIES.items():
        for part in assembly.get("part", []):
            if part["material"] in by_trade and key not in {"hot-tub-pad", "water-feature"}:
                assert by_trade[part["material"]] in assembly["safety"]["cautions"], key
                assert assembly["build"]["trade"].startswith("licensed"), key
    for key in ("hot-tub-pad", "water-feature", "gas-run", "conduit-run", "outlet-allowance", "backflow"):
        assert ASSEMBLIES[key]["build"]["trade"].startswith("licensed"), key


def test_the_library_is_wide_enough_to_price_a_whole_yard():
    assert len(ASSEMBLIES) >= 70
    assert len(MATERIALS) >= 150
    groups = {assembly["group"] for assembly in ASSEMBLIES.values()}
    assert {"own hours", "protection", "demolition", "surfaces", "walls and steps", "edges", "drainage"} <= groups


def test_percent_stands_at_its_figure_in_every_text():
    """As the pages write it: 8%, not 8 %."""
    apart = [path.name for path in LIBRARY.rglob("*.toml") if re.search(r"\d %", path.read_text())]
    assert apart == []
