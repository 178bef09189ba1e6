"""Every shipped recipe worked out at an ordinary place: defaults within their bounds, nothing negative, more never less."""

import pytest

from app.domain.takeoff.assembly import Chosen, compile_assembly
from app.domain.takeoff.requirements import requirements
from app.domain.takeoff.stretches import columns, covering, cutting, laying_courses
from app.interchange.library_file import load_library
from tests.plans.yards import empty, with_feature

LIBRARY = load_library()
BASIS = LIBRARY.basis()
LITTLE = 1e-9
LAID = {"laid_units": 0, "laid_cuts": 0, "laid_cut_length": 0, "border_units": 0, "second_border_units": 0}
LAID |= {"border_length": 0, "second_size_units": 0, "third_size_units": 0}
FUNCTIONS = {
    "run": lambda length: {**cutting((length,)), **laying_courses((length,), closed=False), **covering((length,))},
    "edge": lambda length: cutting((length,)),
    "feature": lambda _length: columns(),
    **dict.fromkeys(("zone", "existing", "job"), lambda _length: {}),
}
ONE_TO_A_WALL = {"wall-engineering"}  # one design and permit, however long the wall


def place(measures, size):
    """An ordinary place of each kind; `size` makes it larger (1 is an ordinary back yard)."""
    job = {
        "area_total": 1500 * size,
        "lot_area": 9000.0,
        "crew_days": 10 * size,
        "trips": 10 * size,
        "soil_swell": 1.25,
    }
    job |= {"haul_distance": 80.0, "access_width": 4.0}
    own = {
        "zone": {"area": 50 * size, "outline": 30 * size, "fall": 0.02, "laid": False, **LAID},
        "run": {
            "length": 30 * size,
            "height": 1.5,
            "corners": 2,
            "ends": 2,
            "crossings": 1,
            "gas_longest": 45 * size,
            "gas_heat": 60_000,
        },
        "edge": {"length": 20 * size, "curved_length": 5 * size, "drop": 1.0 * size, "gap": 0.04},
        "feature": {"count": 3 * size, "area": 40.0, "length": 8.0, "thickness": 0.5, "height": 3.0},
        "existing": {
            "count": 3 * size,
            "area": 200 * size,
            "outline": 60 * size,
            "length": 40 * size,
            "thickness": 0.5,
            "height": 3.0,
        },
        "job": {},
    }[measures]
    asked = {"zone": ("shared", "own_edge"), "run": ("under",)}.get(measures, ())
    kinds = ("house", "lot", "ground", "zone", "wall", "conduit", "pipe", "drain", "gas")
    told = {f"{one}('{kind}')": 10 * size for one in asked for kind in kinds}
    grown = {"grown": lambda by: 50 * size + 30 * size * by} if measures == "zone" else {}
    grown |= {"needed_cover": lambda _wiring: 1.5} if measures == "run" else {}
    return {**job, **own, **told, **grown, **FUNCTIONS[measures](30.0 * size)}


def amounts(compiled, values, passed=None):
    """(what, amount) of every part and task, includes first; asserts the bounds of every parameter on the way."""
    known = {**values, **compiled.constants}
    for parameter in compiled.parameters:
        own = parameter.formula.number(known) if parameter.name not in (passed or {}) else passed[parameter.name]
        known[parameter.name] = own
    for parameter in compiled.parameters:
        value = known[parameter.name]
        if parameter.least:
            assert value >= parameter.least.number(known) - LITTLE, f"{compiled.key}: {parameter.name}"
        if parameter.most:
            assert value <= parameter.most.number(known) + LITTLE, f"{compiled.key}: {parameter.name}"
    found = []
    for include in compiled.includes:
        found += amounts(include.assembly, values, {name: f.number(known) for name, f in include.passes})
    for piece in compiled.pieces:
        if piece.when is None or piece.when.holds(known):
            found.append((f"{compiled.key}: {piece.label}", piece.amount.number(known)))
    return found


@pytest.mark.parametrize("key", sorted(LIBRARY.assemblies))
def test_every_amount_is_above_zero_at_an_ordinary_place(key):
    assembly = LIBRARY.assemblies[key]
    found = amounts(compile_assembly(assembly, BASIS), place(assembly.measures, 1))
    assert found
    for what, amount in found:
        assert amount > 0, what


@pytest.mark.parametrize("key", sorted(LIBRARY.assemblies))
def test_a_larger_place_never_takes_less(key):
    assembly = LIBRARY.assemblies[key]
    compiled = compile_assembly(assembly, BASIS)
    smaller = amounts(compiled, place(assembly.measures, 1))
    larger = amounts(compiled, place(assembly.measures, 2))
    assert [what for what, _ in smaller] == [what for what, _ in larger]
    for (what, less), (_, more) in zip(smaller, larger, strict=True):
        assert more >= less - LITTLE, what
    if key not in ONE_TO_A_WALL and assembly.measures != "job":
        assert sum(more for _, more in larger) > sum(less for _, less in smaller), "it does not grow with its place"


@pytest.mark.parametrize("key", sorted(LIBRARY.assemblies))
def test_every_material_of_a_role_can_take_its_place(key):
    assembly = LIBRARY.assemblies[key]
    for part in assembly.parts:
        for material in LIBRARY.materials.values():
            if material.role == part.role and material.key != part.material:
                compiled = compile_assembly(assembly, BASIS, Chosen(finishes={part.role: material.key}))
                assert [finding.what for finding in compiled.findings] == [], material.key
                assert all(amount > 0 for _, amount in amounts(compiled, place(assembly.measures, 1))), material.key


def test_what_is_dug_for_things_grows_with_how_many_there_are():
    book = BASIS
    dug = [
        key
        for key, one in book.assemblies.items()
        if one.measures == "feature" and any(part.assembly == "pit-and-haul" for part in one.includes)
    ]
    assert {"dry-well", "catch-basin", "column"} <= set(dug)

    def amounts(key: str, count: int) -> dict[tuple[str, str], float]:
        found: dict[tuple[str, str], float] = {}
        for one in requirements(with_feature(empty(), "it", key, x=10.0, y=30.0, count=count), book)[0]:
            found[one.kind, one.key] = found.get((one.kind, one.key), 0.0) + one.amount
        return found

    for key in dug:
        single, three = amounts(key, 1), amounts(key, 3)
        assert ("task", "dig-by-hand") in single
        assert three == pytest.approx({name: 3 * amount for name, amount in single.items()}), key
    # a dry well by hand: 500 sq ft at 1 in is 41.67 cu ft, 7 in the chamber, 34.67 / 0.40 of stone; both 4 ft deep,
    # 1 ft of soil over them
    ground = ((500 / 12 - 7) / 0.40 + 7) / 4
    assert amounts("dry-well", 2)["task", "dig-by-hand"] == pytest.approx(2 * ground * 5)
