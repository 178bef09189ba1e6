"""The first assembly whole, and a small basis of invented materials and tasks it stands on."""

from app.domain.basis import Basis, Material, Task
from app.domain.takeoff.recipe import parse_assembly

EXCAVATE = """
key = "excavate-and-haul"
title = "Excavate and haul away"
measures = "zone"

[parameter]
depth = { label = "Depth", value = "7*inch", least = "0*inch", most = "6*foot" }
footprint = { label = "Ground dug", value = "area" }

[[part]]
role = "soil haul"
amount = "footprint * depth * 1.25"
material = "haul-soil"

[[task]]
task = "dig"
amount = "footprint * depth"
"""

UNIT_PAVERS = """
key = "unit-pavers"
title = "Unit pavers on compacted base"
section = "32 14 13"
measures = "zone"

[parameter]
base = { label = "Base, compacted", value = "6*inch", least = "4*inch", most = "18*inch", source = "trade association minimum: 4 in patios and walks, 6 in drives" }
bedding = { label = "Bedding", value = "1*inch", least = "0.75*inch", most = "1.5*inch" }
overdig = { label = "Base beyond the edge", value = "max(6*inch, base)" }

[[include]]
assembly = "excavate-and-haul"
depth = "base + bedding + thickness_of('finish')"
footprint = "grown(overdig)"

[[part]]
role = "separation fabric"
amount = "grown(overdig)"
material = "fabric"
loss = 0.15

[[part]]
role = "base stone"
amount = "grown(overdig) * base"
material = "base-stone"

[[part]]
role = "bedding"
amount = "area * bedding"
material = "sand"

[[part]]
role = "finish"
amount = "laid_units if laid else area / coverage_of('finish')"
material = "cobble"
keep = 0.02

[[part]]
role = "joint fill"
amount = "area"
material = "joint-sand"

[[part]]
role = "edge restraint"
amount = "shared('ground')"
material = "edging"

[[task]]
task = "compact"
amount = "grown(overdig) * base"

[[task]]
task = "lay"
amount = "area"

[[task]]
task = "cut"
amount = "laid_cuts"
when = "laid"

[drawing]
hatch = "laid"

[build]
order = ["excavate", "sleeves", "base", "edge", "lay"]
stands_on = ["ground"]

[safety]
cautions = ["dig", "silica", "lifting"]

[care]
spring = "Sweep joint fill back in where it has washed out."
"""

MATERIALS = (
    Material(key="haul-soil", title="Soil, hauled", role="soil haul", buy="yard**3"),
    Material(key="fabric", title="Separation fabric", role="separation fabric", buy="foot**2"),
    Material(key="base-stone", title="Crushed stone", role="base stone", buy="ton", placed_density="140*lb/foot**3", loss=0.08, source="assumption"),
    Material(key="sand", title="Washed sand", role="bedding", buy="ton", placed_density="100*lb/foot**3", loss=0.05),
    Material(key="cobble", title="Small paver, harvest", role="finish", buy="each", coverage="0.375*foot**2", thickness="2.375*inch", loss=0.07, finish=True),
    Material(key="slab", title="Slab, ivory", role="finish", buy="each", coverage="4*foot**2", thickness="2*inch", loss=0.05, finish=True),
    Material(key="joint-sand", title="Joint sand", role="joint fill", buy="bag", coverage="60*foot**2"),
    Material(key="edging", title="Edge restraint, 8 ft", role="edge restraint", buy="each", coverage="8*foot", loss=0.05),
)  # fmt: skip
TASKS = (
    Task(key="dig", title="Dig", unit="yard**3", hours=(1.2, 1.7, 2.4)),
    Task(key="compact", title="Spread and compact", unit="foot**3", hours=(0.03, 0.04, 0.06), setup=(0.5, 1, 1.5)),
    Task(key="lay", title="Lay pavers", unit="foot**2", hours=(0.05, 0.07, 0.10), setup=(1, 2, 3)),
    Task(key="cut", title="Cut units", unit="each", hours=(0.03, 0.05, 0.08)),
)
ASSEMBLIES = tuple(parse_assembly(text) for text in (UNIT_PAVERS, EXCAVATE))
BASIS = Basis(
    assemblies={a.key: a for a in ASSEMBLIES},
    materials={m.key: m for m in MATERIALS},
    tasks={t.key: t for t in TASKS},
)
PAVERS = BASIS.assemblies["unit-pavers"]


def basis_with(*more) -> Basis:
    """The small basis with other assemblies, materials or tasks."""
    kinds = {"Assembly": "assemblies", "Material": "materials", "Task": "tasks"}
    by_kind = {name: dict(getattr(BASIS, name)) for name in kinds.values()}
    for one in more:
        by_kind[kinds[type(one).__name__]][one.key] = one
    return Basis(**by_kind)
