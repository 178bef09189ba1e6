"""An invented yard that uses every kind of mark a plan can carry."""

from uuid import UUID

from app.domain.basis import Assembly, Basis, Drawing, Material, Part
from app.domain.job import (
    Alternative,
    Client,
    Edge,
    EdgeChoice,
    Existing,
    Fate,
    Feature,
    Head,
    Job,
    Opening,
    PlaceKind,
    Run,
    RunKind,
    Site,
    Work,
    Zone,
    ZoneKind,
)
from app.domain.plan.outline import Outline


def uid(number):
    return UUID(int=number)


def polygon(*points):
    return Outline("POLYGON ((" + ", ".join(f"{x} {y}" for x, y in (*points, points[0])) + "))")


def zone(number, letter, title, kind, outline, assembly="", finishes=None):
    works = (
        (
            Work(
                id=uid(3000 + number),
                place=PlaceKind.ALTERNATIVE,
                place_id=uid(2000 + number),
                assembly=assembly,
                finishes=finishes or {},
            ),
        )
        if assembly
        else ()
    )
    return (
        Zone(id=uid(1000 + number), letter=letter, title=title, kind=kind, position=number),
        Alternative(id=uid(2000 + number), zone_id=uid(1000 + number), outline=outline),
        works,
    )


CIRCLE = Outline(
    "CURVEPOLYGON (COMPOUNDCURVE (CIRCULARSTRING (38 14.5, 29.5 23, 21 14.5), CIRCULARSTRING (21 14.5, 29.5 6, 38 14.5)))"
)
ZONES = (
    zone(1, "A", "Dining terrace", ZoneKind.DINING, polygon((12, 40), (40, 40), (40, 23), (12, 23)), "small-pavers"),
    zone(2, "B", "Fire court", ZoneKind.FIRE, CIRCLE, "loose-stone"),
    zone(3, "C", "Herb beds", ZoneKind.PLANTING, polygon((40, 40), (54, 40), (54, 20), (46, 20), (40, 26))),
    zone(4, "D", "Ferns", ZoneKind.PLANTING, polygon((2, 40), (12, 40), (12, 23), (2, 15))),
    zone(
        5,
        "E",
        "Path",
        ZoneKind.PATH,
        polygon((54, 20), (58, 20), (58, 2), (44, 2), (44, 6), (54, 6)),
        "flags",
        {"finish": "stone-gray"},
    ),
    zone(6, "F", "Lawn", ZoneKind.LAWN, None),
)
BASIS = Basis(
    assemblies={
        "small-pavers": Assembly(
            key="small-pavers",
            title="Small pavers",
            parts=(Part(role="finish", amount="area", material="paver-russet"),),
            drawing=Drawing(hatch="herringbone", color="#b07a52"),
        ),
        "loose-stone": Assembly(
            key="loose-stone", title="Loose stone", drawing=Drawing(hatch="gravel-fine", color="#d6b883")
        ),
        "flags": Assembly(
            key="flags",
            title="Stone on base",
            parts=(Part(role="finish", amount="area", material="stone-tan"),),
            drawing=Drawing(hatch="flag", color="#c4a983"),
        ),
        "fire-gas": Assembly(key="fire-gas", title="Fire", drawing=Drawing(hatch="stone", color="#8c5a3c")),
        "tree": Assembly(key="tree", title="Tree", drawing=Drawing(hatch="planting", color="#7d9460")),
    },
    materials={
        "paver-russet": Material(
            key="paver-russet",
            title="Clay paver, russet",
            role="finish",
            buy="foot**2",
            color="#9c4a35",
            hatch="herringbone",
            finish=True,
        ),
        "stone-gray": Material(
            key="stone-gray",
            title="Flagstone, gray",
            role="finish",
            buy="ton",
            color="#74808a",
            hatch="flag",
            finish=True,
        ),
        "stone-tan": Material(
            key="stone-tan",
            title="Flagstone, tan",
            role="finish",
            buy="ton",
            color="#c4a983",
            hatch="flag",
            finish=True,
        ),
    },
)


def yard(**changes):
    parts = {
        "head": Head(id=uid(1), client_id=uid(2), title="Back yard"),
        "client": Client(id=uid(2)),
        "site": Site(
            id=uid(3),
            lot=polygon((0, 0), (60, 0), (60, 54), (0, 54)),
            house=polygon((2, 52), (54, 52), (54, 40), (2, 40)),
            openings=(Opening(title="Kitchen door", x=22, y=40, width=6), Opening(title="Side door", x=54, y=47)),
            north=24,
        ),
        "zones": tuple(z for z, _, _ in ZONES),
        "alternatives": tuple(a for _, a, _ in ZONES),
        "works": (
            *(w for _, _, works in ZONES for w in works),
            Work(id=uid(3100), place=PlaceKind.FEATURE, place_id=uid(5001), assembly="fire-gas"),
            Work(id=uid(3101), place=PlaceKind.FEATURE, place_id=uid(5002), assembly="tree"),
        ),
        "edges": (Edge(id=uid(4001), zone_id=uid(1003), neighbor=str(uid(1001)), choice=EdgeChoice.BUILT),),
        "runs": (
            Run(id=uid(6001), kind=RunKind.CONDUIT, title="Power", points=((50, 40), (50, 30), (42, 24), (36, 17))),
            Run(id=uid(6002), kind=RunKind.GAS, title="Gas", points=((8, 40), (8, 18), (27, 13))),
            Run(id=uid(6003), kind=RunKind.DRAIN, title="Drain", points=((12, 24), (3, 6))),
            Run(id=uid(6004), kind=RunKind.PIPE, title="Hose bib", points=((44, 40), (44, 33))),
            Run(id=uid(6005), kind=RunKind.WALL, title="Seat wall", points=((22, 9), (26, 5.5), (32, 5.2))),
            Run(id=uid(6006), kind=RunKind.FENCE, title="Fence", points=((60, 40), (60, 0), (30, 0))),
        ),
        "features": (
            Feature(id=uid(5001), title="Fire bowl", x=29.5, y=14.5),
            Feature(id=uid(5002), title="Redbud tree", x=10, y=8),
            Feature(id=uid(5003), title="Path light", x=53, y=9),
            Feature(id=uid(5004), title="Path light", x=47, y=7.4),
        ),
        "existing": (
            Existing(
                id=uid(7001),
                title="Old slab",
                kind="concrete",
                fate=Fate.GOES,
                outline=polygon((14, 22), (20, 22), (20, 14), (14, 14)),
            ),
            Existing(
                id=uid(7002),
                title="Oak",
                kind="tree",
                fate=Fate.PROTECTED,
                outline=Outline(
                    "CURVEPOLYGON (COMPOUNDCURVE (CIRCULARSTRING (43 14, 40 17, 37.9 14), CIRCULARSTRING (37.9 14, 40 11, 43 14)))"
                ),
            ),
        ),
    }
    return Job(**{**parts, **changes})
