"""The plant table: every row in sane bounds, every name once, every fact with its source."""

import csv
import re
from pathlib import Path

import pytest

from app.domain.palette.bloom_colors import bloom_hex
from app.domain.plant import KINDS, SUN, WATER, sizes_for, usual_size
from tests.plans.yards import library

HARMS = {"", "eaten", "skin", "eaten, skin"}


def test_there_are_plants_of_every_kind_and_more_than_150():
    plants = library().plants
    assert len(plants) >= 150
    assert {one.kind for one in plants.values()} == KINDS.keys()


@pytest.mark.parametrize("kind", KINDS)
def test_every_row_is_in_sane_bounds_and_has_its_source(kind):
    for one in library().plants.values():
        if one.kind != kind:
            continue
        assert 0 < one.height[0] <= one.height[1] <= 130, one.key
        assert 0 < one.spread[0] <= one.spread[1] <= 110, one.key
        assert 2 <= one.spacing <= 720, one.key
        assert one.spacing / 12 <= one.spread[1] * 1.6, f"{one.key} would never meet its neighbor"
        assert 1 <= one.zones[0] <= one.zones[1] <= 13, one.key
        assert all(1 <= month <= 12 for month in one.bloom), one.key
        assert list(one.bloom) == sorted(set(one.bloom)), one.key
        assert one.sun, one.key
        assert set(one.sun) <= SUN.keys(), one.key
        assert one.water in WATER, one.key
        assert one.people in HARMS, one.key
        assert one.pets in {"", "eaten"}, one.key
        assert one.source.strip(), one.key
        assert one.native.strip(), one.key
        assert one.spanish.strip(), one.key


def test_botanical_names_are_binomials_that_stand_once():
    names = [one.botanical for one in library().plants.values()]
    assert len(names) == len(set(names))
    assert all(re.match(r"[A-Z][a-z]+ (× )?[a-z-]+", name) for name in names)


def test_plants_known_to_harm_are_marked():
    # Source: Texas A&M AgriLife's list of poisonous plants, as quoted by Grandparents Link; University of Illinois lists
    # agree. The table must at least carry these; what it does not mark is not called safe.
    plants = library().plants
    for key in ("nerium-oleander", "taxus-media", "digitalis-purpurea", "convallaria-majalis", "delphinium-elatum",
                "narcissus-hybrids", "rhododendron-catawbiense", "hydrangea-arborescens", "daphne-odora"):  # fmt: skip
        assert plants[key].people, key
        assert plants[key].pets, key
    assert plants["lilium-superbum"].pets  # lilies and cats


def test_every_kind_is_bought_in_sizes_with_material_and_task():
    held = library()
    for kind in KINDS:
        found = sizes_for(kind, held.plant_sizes)
        assert found, kind
        assert usual_size(kind, held.plant_sizes) in {one.key for one in found}
        for one in found:
            assert one.materials[kind] in held.materials, one.key
            assert one.task in held.tasks, one.key


def test_balls_and_weights_grow_with_the_size_and_have_their_source():
    sizes = sorted(library().plant_sizes.values(), key=lambda one: one.position)
    assert all(one.source.strip() and 0 < one.ball <= 60 and 0 < one.deep <= 40 for one in sizes)
    potted = [one for one in sizes if one.gallons]
    assert [one.weight for one in potted] == sorted(one.weight for one in potted)
    # Source: one nursery's figures (common practice): a ball of 24 in 325 lb, of 28 in 550 lb
    assert {one.ball: one.weight for one in sizes if one.trunk >= 2} == {24: 325, 28: 550}


def read_rows(name: str) -> list[dict[str, str]]:
    lines = (Path(__file__).parent / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def test_rows_of_the_usda_s_plants_say_its_figures_and_agree_or_say_that_they_do_not():
    # Source: USDA NRCS PLANTS Database, characteristics (see the head of the file)
    plants = library().plants
    rows = read_rows("usda_plants.csv")
    assert len(rows) >= 80
    for row in rows:
        one, height, coldest = plants[row["key"]], float(row["height"]), (int(row["least"]) + 60) // 10 + 1
        said = one.source
        assert f"({row['symbol']}): {height:g} ft high, {row['least'].replace('-', '−')} °F" in said, one.key
        assert one.height[0] <= height <= one.height[1] or "its height" in said, one.key
        assert abs(coldest - one.zones[0]) <= 1 or "a coldest zone" in said, one.key
        assert row["color"][:5] in " ".join(one.colors) or re.search("its color of bloom|a bloom that shows", said), (
            one.key
        )
        assert one.people or one.pets or row["toxicity"] in {"", "none"}, one.key
        if row["shade"] == "intolerant":
            assert "full" in one.sun, one.key
        if row["shade"] == "tolerant":
            assert one.sun != ("full",), one.key


def test_rows_of_a_university_s_plants_say_its_figures_and_agree_or_say_that_they_do_not():
    # Source: Kwantlen Polytechnic University, plant database (see the head of the file)
    plants = library().plants
    for row in read_rows("kwantlen_plants.csv"):
        one, said = plants[row["key"]], plants[row["key"]].source
        low, high, narrow, wide = (float(row[name]) for name in ("low", "high", "narrow", "wide"))
        assert f"{low:g} to {high:g} m high, {narrow:g} to {wide:g} m wide, zone {row['zone']}," in said, one.key
        assert _meets(one.height, low, high) or "its height" in said, one.key
        assert _meets(one.spread, narrow, wide) or "its width" in said, one.key
        assert abs(int(row["zone"]) - one.zones[0]) <= 1 or "its zone" in said, one.key
        assert set(row["sun"].split()) & set(one.sun), one.key
        months = {int(month) for month in row["months"].split()}
        assert months & set(one.bloom) or not (months and one.bloom) or "its months" in said, one.key
        assert all(color in said for color in row["colors"].split()), one.key


def _meets(ours: tuple[float, float], low: float, high: float) -> bool:
    """Whether a range [ft] has something in common with another [m]."""
    return low / 0.3048 <= ours[1] * 1.001 and high / 0.3048 >= ours[0] * 0.999


def test_every_row_says_where_it_is_from_or_that_it_is_from_memory():
    for one in library().plants.values():
        assert re.search(r"from memory|Database|University|Extension|Botanic|Garden|College", one.source), one.key


def test_plants_that_poison_animals_by_the_aspca_s_lists_are_marked_and_say_which():
    # Source: ASPCA Animal Poison Control, lists of toxic plants (see the head of the file)
    plants = library().plants
    rows = read_rows("aspca_plants.csv")
    assert len(rows) >= 50
    for row in rows:
        one = plants[row["key"]]
        assert one.pets, one.key
        (told,) = re.findall(r"ASPCA lists of plants that poison: ([^.]*)\.", one.source)
        assert set(re.findall("cats|dogs|horses", told)) == set(row["harms"].split()), one.key
        assert one.botanical.split()[0] == row["listed"].split()[0], one.key
        if row["named"] == "species":
            assert one.botanical == row["listed"], one.key
        elif row["named"] == "genus":
            assert told.startswith(f"{row['listed']} of every kind"), one.key
        else:
            assert told.startswith(f"its relative {row['listed']} "), one.key
    told_of = {one.key for one in plants.values() if "ASPCA" in one.source}
    assert told_of == {row["key"] for row in rows}


def test_every_plant_that_blooms_has_colors_that_can_be_drawn():
    for one in library().plants.values():
        assert bool(one.colors) == bool(one.bloom), one.key
        assert all(bloom_hex(color) for color in one.colors), one.key
