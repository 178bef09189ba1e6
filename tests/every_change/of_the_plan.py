"""What is changed of a job at the office: the call, the site, the plan."""

from hashlib import sha256

from app.services import job_files
from tests.every_change.change import Version, of
from tests.every_change.stock import DRAWING, PICTURE, Stock


def job_file(stock: Stock) -> bytes:
    """Another job as a file."""
    return job_files.export_job(stock.office, stock.id_of("other_id"))


def file_of_back(stock: Stock) -> bytes:
    """The file in which a job comes back."""
    return stock.back


AWAY = {"job_id": "{bare_id}"}
JOB = "/jobs/{job_id}"
PLAN = JOB + "/plan"
SHAPE = PLAN + "/shape"
BEDS = JOB + "/beds"
TAPE = JOB + "/tape"
WIDE = {"kind": "zone", "thing_id": "{wide_id}"}
WAY = Version("alternative", "{wide_way_id}")

HOME = (
    of("/jobs", {"name": "Otis Marren", "town": "Alder Ferry"}),
    of(JOB + "/copy", {"name": "Otis Marren"}),
    of(JOB + "/zone/{zone_id}/copy", {"to_job": "{other_id}"}),
    of("/jobs/open-file", file=job_file),
    of(JOB + "/build/use-my-prices", at={"job_id": "{came_id}"}),
    of("/commands/bring-back", file=lambda stock: stock.back_by_command, by="command", before=Stock.comes_back),
    of("/commands/import", file=job_file, by="command"),
    of(
        JOB + "/{sheet}/{kind}/new",
        {"words": "A place for the dog", "must": "1"},
        at={"sheet": "client", "kind": "need"},
    ),
    of(
        JOB + "/{sheet}/{kind}/{thing_id}",
        {"words": "Shade at noon and later", "version": Version("need", "{need_id}")},
        at={"sheet": "client", "kind": "need", "thing_id": "{need_id}"},
    ),
    of(JOB + "/{sheet}/{kind}/{thing_id}/remove", at={"sheet": "client", "kind": "need", "thing_id": "{need_id}"}),
    of(JOB + "/undo", {"sheet": "client"}),
    of(JOB + "/along", {"name": "The laptop in the truck"}, at={"job_id": "{came_id}"}),
    of(
        JOB + "/along/bring-back",
        at=AWAY,
        file=file_of_back,
        before=Stock.came_back,
        keeps_nothing="kept aside and looked into; taking it in has an address of its own",
    ),
    of(
        JOB + "/along/brought/{name}",
        {"version": "{counter}"},
        at={**AWAY, "name": "{brought}"},
        before=Stock.came_back,
    ),
    of(
        JOB + "/along/{taking_id}/lift",
        {"reason": "It fell into a pond"},
        at={"job_id": "{caller_id}"},
        before=Stock.goes_along,
    ),
    of(JOB + "/client/begin-plan", at={"job_id": "{caller_id}"}),
)

SITE = (
    of(
        JOB + "/site/existing/new",
        {"title": "Old walk", "kind": "concrete", "fate": "goes", "area": "60", "thickness": "4 in"},
    ),
    of(
        JOB + "/site/existing/{thing_id}",
        {"title": "Garden shed", "version": Version("existing", "{existing_id}")},
        at={"thing_id": "{existing_id}"},
    ),
    of(
        "/pieces/{name}",
        {"at": "0", "size": str(len(PICTURE))},
        at={"name": sha256(PICTURE).hexdigest()},
        file=PICTURE,
        keeps_nothing="part of a file, until its form comes",
    ),
    of(JOB + "/site/photo/new", {"caption": "From the gate", "when": "before"}, file=PICTURE, slow=True),
    of(JOB + "/site/setbacks-of/{other_id}"),
    of(
        JOB + "/site/opening/new",
        {"title": "Side gate", "x": "40", "y": "-10", "version": Version("site", "{site_id}")},
    ),
    of(
        JOB + "/site/opening/{place}",
        {"title": "Kitchen door", "x": "8", "y": "-10", "width": "3", "version": Version("site", "{site_id}")},
        at={"place": "0"},
    ),
    of(
        PLAN + "/opening/{place}",
        {"title": "Kitchen door, wide", "width": "6", "version": Version("site", "{site_id}")},
        at={"place": "0"},
    ),
    of(
        PLAN + "/drawn/opening/{place}",
        {"x": "12", "y": "-10", "version": Version("site", "{site_id}")},
        at={"place": "0"},
    ),
    of(
        JOB + "/{sheet}/opening/{place}/remove",
        {"version": Version("site", "{site_id}")},
        at={"sheet": "site", "place": "1"},
    ),
    of(TAPE + "/mark/new", {"title": "E", "x": "10", "y": "20"}),
    of(TAPE + "/baseline", {"start_id": "{mark_a}", "end_id": "{mark_b}", "version": Version("site", "{site_id}")}),
    of(BEDS + "/planting/new", {"bed": "{long_way_id}", "species": "liatris-spicata"}),
    of(
        BEDS + "/planting/{planting_id}",
        {"size": "quart", "pattern": "square", "spacing": "2", "version": Version("planting", "{planting_id}")},
    ),
    of(JOB + "/lights/take", before=Stock.sets_lights),
    of(
        JOB + "/lights/feature/{light_id}",
        {"fed_from": "{box_id}", "watts": "6.5", "lamp": "filament", "version": Version("feature", "{set_light_id}")},
        at={"light_id": "{set_light_id}"},
        before=Stock.sets_lights,
    ),
    of(JOB + "/sprinklers/heads/new", {"valve": "Valve 1", "places": "60,-20 / 64,-20", "throw": "10", "arc": "360"}),
    of(JOB + "/sprinklers/valve/new", {"title": "Valve by the gate", "flow": "8", "pressure": "35"}),
    of(
        JOB + "/sprinklers/existing/{thing_id}",
        {"fate": "moves", "moves_to": "60, -24", "version": Version("existing", "{set_head_id}")},
        at={"thing_id": "{set_head_id}"},
        before=Stock.sets_heads,
    ),
    of(
        PLAN + "/drawn/plant/{row_id}/{place}",
        {"x": "3", "y": "4", "version": Version("planting", "{placed_id}")},
        at={"row_id": "{placed_id}", "place": "1"},
    ),
    of(
        PLAN + "/plant/{row_id}/{place}",
        {"x": "3", "y": "4", "version": Version("planting", "{placed_id}")},
        at={"row_id": "{placed_id}", "place": "0"},
    ),
    of(
        PLAN + "/plant/{row_id}/{place}/remove",
        {"version": Version("planting", "{placed_id}")},
        at={"row_id": "{placed_id}", "place": "0"},
    ),
    of(BEDS + "/drip/{way_id}", at={"way_id": "{long_way_id}"}),
    of(
        BEDS + "/drip/{way_id}/laid",
        {"drip": "around", "version": Version("alternative", "{long_way_id}")},
        at={"way_id": "{long_way_id}"},
    ),
    of(BEDS + "/planting/{planting_id}/price", {"unit_price": "13.25"}),
    of(BEDS + "/planting/{planting_id}/remove"),
    of(TAPE + "/tapes", {"tape_kind": "steel", "tape_within": "1/4 in", "version": Version("site", "{site_id}")}),
    of(TAPE + "/house"),
    of(TAPE + "/mark/{mark_id}", {"title": "Stump", "version": Version("mark", "{mark_id}")}),
    of(
        TAPE + "/mark/{mark_id}/tape/new",
        {"from_id": "{spare_mark_id}", "length": "61", "version": Version("mark", "{mark_id}")},
    ),
    of(
        TAPE + "/mark/{mark_id}/tape/{place}",
        {"does": "leave-out", "version": Version("mark", "{mark_id}")},
        at={"place": "2"},
    ),
    of(TAPE + "/mark/{mark_id}/remove", at={"mark_id": "{spare_mark_id}"}),
    of(TAPE + "/level_setup/new", {"title": "By the oak", "benchmark_id": "{mark_a}", "backsight": "4.5"}),
    of(TAPE + "/level_setup/{setup_id}", {"title": "By the gate", "version": Version("level_setup", "{setup_id}")}),
    of(TAPE + "/level_setup/{setup_id}/rod", {"mark_id": "{mark_b}", "reading": "4.25"}),
    of(TAPE + "/level_setup/{setup_id}/remove", at={"setup_id": "{spare_setup_id}"}),
)

ON_THE_PLAN = (
    of(
        PLAN + "/zone/new",
        {
            "title": "Fire circle",
            "kind": "fire",
            "outline.shape": "rectangle",
            "outline.width": "12",
            "outline.depth": "12",
        },
    ),
    of(
        PLAN + "/alternative/{alternative_id}",
        {"fall": "1 %", "fall_toward": "east", "version": Version("alternative", "{zone_way_id}")},
        at={"alternative_id": "{zone_way_id}"},
    ),
    of(PLAN + "/zone/{zone_id}/another-way", {"way": "In brick"}),
    of(PLAN + "/zone/{zone_id}/edge", {"neighbor": "{beside_id}", "decision": "nothing"}),
    of(PLAN + "/zone/{zone_id}/edge/steps", {"neighbor": "{beside_id}", "width": "6"}),
    of(
        PLAN + "/work/{work_id}/pattern",
        {"pattern": "running-half", "border": "soldier", "version": Version("work", "{zone_work_id}")},
    ),
    of(
        PLAN + "/work/{work_id}/border-side",
        {"number": "2", "version": Version("work", "{zone_work_id}")},
    ),
    of(PLAN + "/work/{work_id}/start", slow=True),
    of(PLAN + "/underlay/new", {"title": "Plat"}, file=PICTURE, slow=True),
    of(PLAN + "/underlay/{underlay_id}", {"across": "120", "version": Version("underlay", "{underlay_id}")}),
    of(
        PLAN + "/underlay/{underlay_id}/scale",
        {
            "start.x": "0",
            "start.y": "0",
            "end.x": "40",
            "end.y": "0",
            "length": "12",
            "version": Version("underlay", "{underlay_id}"),
        },
    ),
    of(PLAN + "/draw/{kind}", {"words": "Hose bib", "x": "3", "y": "4"}, at={"kind": "note"}),
    of(
        PLAN + "/drawn/{kind}/{thing_id}",
        {"x": "10", "y": "8", "version": Version("feature", "{feature_id}")},
        at={"kind": "feature", "thing_id": "{feature_id}"},
    ),
    of(
        PLAN + "/drawn/{kind}/{thing_id}/move",
        {"east": "2", "north": "-1", "version": Version("feature", "{feature_id}")},
        at={"kind": "feature", "thing_id": "{feature_id}"},
    ),
    of(
        SHAPE + "/zone/{thing_id}/split",
        {"cut": "62,-1 / 62,50", "version": Version("alternative", "{long_way_id}")},
        at={"thing_id": "{long_id}"},
    ),
    of(SHAPE + "/zone/{thing_id}/join", {"other": "{beside_id}"}, at={"thing_id": "{zone_id}"}),
    of(SHAPE + "/{kind}/{thing_id}/set-off", {"makes": "line", "width": "1", "title": "Edging"}, at=WIDE),
    of(SHAPE + "/{kind}/{thing_id}/square", {"within": "5", "version": WAY}, at=WIDE),
    of(SHAPE + "/{kind}/{thing_id}/place", {"east": "1", "version": WAY}, at=WIDE),
    of(SHAPE + "/{kind}/{thing_id}/corner", {"place": "1", "what": "round", "amount": "2", "version": WAY}, at=WIDE),
    of(
        SHAPE + "/{kind}/{thing_id}/points/{ring}",
        {"was.0": "0|70|||||", "p.0.x": "1", "version": Version("run", "{run_id}")},
        at={"kind": "run", "thing_id": "{run_id}", "ring": "0"},
    ),
    of(SHAPE + "/all/place", {"east": "4"}),
    of(
        PLAN + "/bring-in",
        {"unit": "1 ft"},
        file=DRAWING,
        keeps_nothing="what is in a drawing is shown; keeping it has an address of its own",
    ),
    of(
        PLAN + "/bring-in/keep",
        {"wkt.0": "POLYGON ((100 0, 112 0, 112 6, 100 6, 100 0))", "name.0": "Bed", "becomes.0": "zone"},
    ),
    of(
        JOB + "/{sheet}/work/new",
        {"place": "feature", "place_id": "{feature_id}", "assembly": "fire-wood"},
        at={"sheet": "plan"},
    ),
    of(
        JOB + "/{sheet}/work/{work_id}/finish",
        {"role": "finish", "material": "paver-brick-clay", "version": Version("work", "{zone_work_id}")},
        at={"sheet": "plan"},
    ),
    of(
        JOB + "/{sheet}/work/{work_id}/parameter",
        {"name": "base", "formula": "8 in", "version": Version("work", "{zone_work_id}")},
        at={"sheet": "plan"},
    ),
    of(JOB + "/{sheet}/newer-edition", {"assembly": "planting-bed"}, at={"sheet": "plan"}),
    of(JOB + "/palette/photo", file=PICTURE, slow=True),
    of(
        JOB + "/palette/photo/{photo_id}",
        {
            "material": "paver-brick-clay@0",
            **dict.fromkeys(("white.x", "white.y", "stone.x", "stone.y"), "10"),
            "wide": "64",
            "high": "48",
        },
        slow=True,
    ),
    of(JOB + "/palette/choose", {"role": "finish", "material": "paver-brick-clay", "zone_id": "{zone_id}"}),
)
