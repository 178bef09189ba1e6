"""The as-built sheet: lines, valves, depths, batches, and what differs from the plan that was signed."""

from dataclasses import replace
from datetime import date
from uuid import uuid4

from app.domain.handover.as_built import AsBuilt, as_built
from app.domain.job import BuiltNote, CameLine, Delivery, Job, Photo, RunKind
from app.domain.plan import rectangle
from tests.plans import yards


def signed() -> Job:
    job = yards.with_zone(yards.empty(), "A", rectangle(18, 14, at=(60, 0)), "unit-pavers", level=0.0)
    job = yards.with_run(job, "Gas", "gas-run", kind=RunKind.GAS, points=((60.0, 0.0), (60.0, 30.0)))
    return yards.with_feature(job, "Valve box", "valve-and-controller", x=62.0, y=4.0)


def built(job: Job, before: Job | None = None) -> AsBuilt:
    return as_built(job, yards.basis(), before, "feet")


def test_lines_and_valves_stand_with_length_place_and_noted_depth() -> None:
    job = signed()
    note = BuiltNote(id=uuid4(), thing=str(job.runs[0].id), day=date(2027, 5, 12), depth=1.5, words="Beside the wall")
    found = built(replace(job, built_notes=(note,)))
    (line,), (valve,) = found.lines, found.points
    assert (line.title, line.length, line.depth, line.notes) == ("Gas", 30.0, 1.5, (note,))
    assert (valve.title, valve.x, valve.y, valve.depth) == ("Valve box", 62.0, 4.0, None)


def test_batches_come_from_deliveries_and_notes_and_covered_pictures_are_named() -> None:
    job = signed()
    came = Delivery(id=uuid4(), order_id=uuid4(), day=date(2027, 5, 3), lines=(CameLine(material="paver-brick-clay", came=9.0, batch="K-7"),))  # fmt: skip
    noted = BuiltNote(id=uuid4(), thing=str(job.zones[0].id), day=date(2027, 5, 9), material="paver-brick-clay", batch="K-8")  # fmt: skip
    hidden = Photo(id=uuid4(), file="0" * 64, hides="Sleeve below the walk")
    found = built(replace(job, deliveries=(came,), built_notes=(noted,), photos=(hidden,)))
    assert [(one.batch, one.where) for one in found.batches] == [("K-7", ""), ("K-8", "A Place A")]
    assert found.covered == (hidden,)
    assert found.other_notes == (("A Place A", noted),)


def test_plan_as_signed_differs_in_nothing() -> None:
    assert built(signed(), signed()).differs == ()
    assert built(signed()).differs == ()


def test_each_thing_built_otherwise_is_said_once() -> None:
    before = signed()
    wider = replace(before.alternatives[0], outline=rectangle(20, 14, at=(60, 0)), level=0.25)
    moved = replace(before.features[0], x=65.0)
    turned = replace(before.runs[0], points=((60.0, 0.0), (70.0, 30.0)))
    now = replace(before, alternatives=(wider,), features=(moved,), runs=(turned,))
    now = yards.with_run(now, "Drain", "drain-line", kind=RunKind.DRAIN, length=12.0)
    assert built(now, before).differs == (
        "Zone A Place A: 280 sq ft built, 252 sq ft signed.",
        'Zone A Place A: its level is 3", signed 0".',
        "Line “Gas”: runs otherwise than drawn in the signed plan.",
        "Line “Drain”: not in the signed plan.",
        "Thing “Valve box”: stands 3'-0\" from where the signed plan has it.",
    )


def test_another_finish_and_what_was_not_built_are_said() -> None:
    before = signed()
    brick = replace(before.works[0], finishes={"finish": "paver-brick-clay"})
    now = replace(before, works=(brick, *before.works[1:]), runs=())
    told = built(now, before).differs
    assert told[0].startswith("Zone A Place A: built as Unit pavers")
    assert told[-1] == "Line “Gas”: signed, not built."
