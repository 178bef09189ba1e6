"""A plant list in the takeoff: what is counted, bought and done for it; what of the recipe it stands in for."""

from dataclasses import replace

import pytest

from app.domain.costing.estimate import estimate
from app.domain.findings import Stop
from app.domain.job import Planting, ZoneKind
from app.domain.plan.shapes import rectangle
from app.domain.plant import material_key
from app.domain.takeoff.explained import explain_requirement
from app.domain.takeoff.plant_letters import plant_letters
from app.domain.takeoff.requirements import requirements
from app.domain.takeoff.stocked import plant_material, stocked, with_plants
from app.interchange.trimming import trimmed
from tests.plans.yards import basis, empty, named, with_zone

BED = with_zone(empty(), "A", rectangle(20, 10), "planting-bed", kind=ZoneKind.PLANTING)
WAY = BED.alternatives[0]
WORK = BED.works[0]


def row(name, species="liatris-spicata", size="1-gal", **fields):
    return Planting(id=named(name), alternative_id=WAY.id, species=species, size=size, **fields)


def listed(*rows):
    return replace(BED, plantings=rows)


def amounts(job):
    needed, findings = requirements(job, stocked(basis(), job))
    return {one.key: one.amount for one in needed}, findings


# By hand: 20 × 10 ft at 12 in square is 200 plants; the recipe's own shares would be 45 perennials and 72 plugs
FULL = listed(row("all", spacing=1.0, pattern="square"))


def test_a_list_takes_the_place_of_the_shares_and_nothing_else():
    before, after = amounts(BED)[0], amounts(FULL)[0]
    assert (before["perennial-1"], before["groundcover-plug"]) == (45, 72)
    assert after["liatris-spicata-1-gal"] == after["plant-1-gal"] == 200
    left = {"perennial-1", "groundcover-plug", "plant-plug"}
    assert after.keys() == before.keys() - left | {"liatris-spicata-1-gal"}
    assert all(after[key] == before[key] for key in after.keys() & before.keys() - {"plant-1-gal"})


def test_tasks_of_one_kind_are_done_once_and_each_amount_says_where_it_comes_from():
    job = listed(row("a", spacing=1.0, pattern="square"), row("b", "asclepias-tuberosa", spacing=1.0, pattern="square"))
    needed, _ = requirements(job, stocked(basis(), job))
    task = next(one for one in needed if one.key == "plant-1-gal")
    assert task.amount == 200
    trace = explain_requirement(job, stocked(basis(), job), WORK.id, task.index)
    assert (trace.result, trace.filled, len(trace.steps)) == (200, "100 + 100", 2)
    for one in needed:
        assert explain_requirement(job, stocked(basis(), job), WORK.id, one.index).result == one.amount


def test_plants_placed_by_hand_are_counted_and_told_when_they_stand_outside():
    tree = row("tree", "cercis-canadensis", "7-gal", pattern="placed", points=((5, 5), (15, 5), (30, 5)))
    found, findings = amounts(listed(tree))
    assert found["cercis-canadensis-7-gal"] == 3
    assert [one.rule for one in findings] == ["plant-outside-bed"]
    assert "1 of 3" in findings[0].what


def test_what_the_table_does_not_know_is_a_stop_and_what_does_not_fit_is_told():
    _, unknown = amounts(listed(row("a", "nothing-such")))
    assert (unknown[0].rule, unknown[0].stop) == ("plant-not-known", Stop.MONEY)
    _, wrong_size = amounts(listed(row("a", size="2-5-in")))
    assert wrong_size[0].rule == "plant-not-known"
    _, crowded = amounts(listed(row("a", spacing=0.2, pattern="square", share=20), row("b", share=0.01, spacing=9.0)))
    assert "plants-not-placed" not in {one.rule for one in crowded}
    _, many = amounts(
        replace(listed(row("a", spacing=2 / 12)), alternatives=(replace(WAY, outline=rectangle(200, 50)),))
    )
    assert many[0].rule == "plants-not-placed"


def test_a_species_goes_by_the_price_of_its_size_until_it_has_its_own():
    own = basis()
    price = replace(next(iter(own.prices.values()), None) or _price(), material="perennial-1")
    own = replace(own, prices={"perennial-1": price})
    found = stocked(own, FULL)
    key = material_key("liatris-spicata", "1-gal")
    assert found.prices[key].unit_price == price.unit_price
    assert found.materials[key].title == "Liatris spicata (Dense blazing star), 1 gal"
    assert with_plants({"perennial-1"}, own, FULL) == {"perennial-1", key}
    other = replace(own.materials["perennial-1"], key=key, title="Ours")
    named_by_us = replace(own, materials={**own.materials, key: other})
    assert stocked(named_by_us, FULL) is named_by_us  # the firm's own is not touched, and without a price it has none
    assert stocked(own, BED) is own


def _price():
    from decimal import Decimal

    from app.domain.selling import Price

    return Price(material="", unit_price=Decimal("14.50"))


def test_a_missing_price_is_an_open_point_with_the_plants_name():
    found = estimate(FULL, stocked(basis(), FULL))
    assert any("Liatris spicata" in one.what and one.stop is Stop.MONEY for one in found.findings)


def test_a_variety_is_bought_by_its_own_name():
    job = listed(row("a", variety="Kobold"), row("b"))
    held = stocked(basis(), job)
    assert "“Kobold”" in held.materials["liatris-spicata-kobold-1-gal"].title
    assert {"liatris-spicata-kobold-1-gal", "liatris-spicata-1-gal"} <= amounts(job)[0].keys()


def test_a_job_file_takes_along_what_its_lists_need():
    held = trimmed(stocked(basis(), FULL), FULL)
    assert held.plants.keys() == {"liatris-spicata"}
    assert held.plant_sizes.keys() == {"1-gal"}
    assert requirements(FULL, held)[0] == requirements(FULL, stocked(basis(), FULL))[0]


def test_letters_go_by_name_and_tell_species_apart():
    job = listed(row("a", "echinacea-purpurea"), row("b", "eutrochium-maculatum"), row("c", "eryngium-yuccifolium"))
    assert sorted(plant_letters(job, basis()).values()) == ["EM", "EP", "EY"]
    alike = listed(row("a", "salvia-greggii"), row("b", "solidago-caesia"), row("c", "scutellaria-incana"), row("d", "solidago-rugosa"), row("e", "sedum-ternatum"), row("f", "stachys-byzantina"), row("g", "stewartia-pseudocamellia"), row("h", "sesleria-autumnalis"), row("i", "symphyotrichum-oblongifolium"))  # fmt: skip
    letters = plant_letters(alike, basis())
    assert len(set(letters.values())) == len(letters) == 9
    assert letters == plant_letters(replace(alike, plantings=alike.plantings[::-1]), basis())


@pytest.mark.parametrize("place", ["zones", "alternatives"])
def test_a_zone_left_out_takes_its_plants_along(place):
    from app.domain.job import only_included

    out = replace(FULL, zones=(replace(FULL.zones[0], left_out=True),))
    assert only_included(out).plantings == ()


def test_a_key_of_a_plant_tells_species_variety_and_size():
    held = stocked(basis(), listed(row("a", variety="Kobold"))).materials["liatris-spicata-kobold-1-gal"]
    assert plant_material(basis(), "liatris-spicata-kobold-1-gal") == held
    assert plant_material(basis(), "liatris-spicata-2-5-in") is None  # no perennial is bought by its trunk
    assert plant_material(basis(), "base-stone-34") is None
