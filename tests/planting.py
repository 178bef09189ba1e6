"""Things whose every text and every sum of money carries a mark of its own, found field by field in the dataclasses.

A field that is added to a thing is marked without a change here. Only what must be one of a few words, a key, a formula
or a hash keeps the value it had: `CODED`.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, is_dataclass, replace
from decimal import Decimal
from typing import Any, get_args, get_origin, get_type_hints

from app.domain.plan.outline import Outline

MARK = re.compile(r"zq(\d{3})", re.IGNORECASE)
# texts that a formula, a key, a file or a choice of a few words stands in
_CODED = {
    "Head": "time_zone paper early design_credit basis_file",
    "Site": "access soil tape_kind",
    "Existing": "kind utility head",
    "Alternative": "drip",
    "Feature": "lamp head",
    "Edge": "neighbor",
    "Mark": "side",
    "Work": "assembly assembly_hash parameters finishes tax",
    "Laying": "pattern corners other_sizes",
    "BorderCourse": "material pattern",
    "Choice": "role material",
    "Allowance": "material",
    "Approval": "kind inspected",
    "CutSheet": "file material",
    "TypedDays": "stage trade",
    "Planting": "species size pattern",
    "Risk": "carried_by offer",
    "Learned": "job_ids",
    "LearnedWaste": "job_ids",
    "Photo": "file when",
    "Underlay": "file",
    "Settlement": "finding",
    "Firm": "mark currency time_zone tax_by_class",
    "FirmPage": "file",
    "Parameter": "value least most",
    "Part": "role amount material when",
    "TaskUse": "task amount when",
    "Include": "assembly passes when",
    "Drawing": "hatch color mass",
    "Inspection": "after",
    "Build": "order stands_on trade",
    "Assembly": "key section group suits cautions",
    "Material": "tax key role buy placed_density coverage thickness length width load color hatch family",
    "Task": "key unit learned_on crew slows",
    "Price": "material supplier",
    "Supplier": "key",
    "LaborClass": "key",
    "BurdenItem": "base",
    "Season": "cause",
    "OverheadItem": "kind carried_by",
    "Rule": "id unit severity",
    "Reminder": "key adds left_out",
    "Signs": "recipes roles tasks materials cautions existing facts",
    "ReminderAnswer": "reminder",
    "Subcontractor": "key",
    "SubPaper": "kind file",
    "Packet": "materials",
    "Quote": "subcontractor file",
    "LoggedHours": "zone phase task",
    "SaidDone": "zone phase task",
    "SignedTest": "test place result",
    "PunchItem": "zone test place",
    "BuiltNote": "thing material",
    "WarrantyCall": "zone assembly cause subcontractor",
    "CrewOn": "people zone phase stage",
    "SignedCheck": "zone phase stage",
    "CrewMember": "key language",
    "PaidOut": "packet subcontractor",
    "ReleasedPacket": "packet subcontractor",
    "LienRelease": "payment kind file",
    "LoggedWeather": "sky",
    "LoggedDelay": "cause whose",
    "LoggedVisit": "result inspects",
    "SupplierBill": "told_in counts",
    "LoggedReceipt": "zone material",
    "ChangeDraft": "reason pay reached",
    "FoundCondition": "zone agreed",
    "SupplyOrder": "kind supplier phase",
    "SentLine": "material unit",
    "Backorder": "material",
    "Substitute": "material",
    "CameLine": "material",
    "BilledLine": "material",
    "ApprovedSample": "material",
    "CountedMaterial": "material",
}
CODED = frozenset(f"{name}.{field}" for name, fields in _CODED.items() for field in fields.split())
RATES = frozenset(
    {
        "Price.unit_price",
        "SentLine.unit_price",
        "Substitute.unit_price",
        "LaborClass.wage",
        "Firm.overhead_per_hour",
        "BurdenItem.capped_at",
        "BurdenItem.a_year",
    }
)  # money; other decimals are shares
PLAIN_DECIMALS = frozenset(
    {
        "Firm.crew_day_hours",
        "LaborClass.billable",
        *(f"PayYear.{one}" for one in ("paid_hours", "overtime_hours", "overtime_extra", "paid_to_date")),
        "UnbilledHours.hours",
        "Season.factor",
        "FoundCondition.quantity",
        "YearAhead.billable_hours",
        *(f"CrewDay.{one}" for one in ("loading", "driving", "cleanup", "week_hours", "overtime_extra")),
    }
)


@dataclass
class Marks:
    """Which mark stands in which field (`Class.field`), and the numbers that do."""

    texts: dict[str, str] = field(default_factory=dict)
    numbers: dict[str, Decimal] = field(default_factory=dict)

    def text(self, path: str) -> str:
        return self.texts.setdefault(path, f"zq{len(self.texts) + 100}")

    def number(self, path: str) -> Decimal:
        """A number that nothing else comes to: shares about 0.1, prices about 70, sums of cents about 70,000."""
        at = len(self.numbers)
        if path.endswith("cents"):
            made = Decimal(70_001_37 + 1_013_10 * at)
        else:
            made = Decimal(f"{71 + at}.1379") if path in RATES else Decimal(f"0.1{at:02}37")
        return self.numbers.setdefault(path, made)

    def texts_in(self, said: str) -> set[str]:
        """The fields whose texts are in what is said."""
        known = {mark: path for path, mark in self.texts.items()}
        return {known[f"zq{found}"] for found in MARK.findall(said)}

    def numbers_in(self, said: str) -> set[str]:
        """The fields whose numbers are in what is said: as money, as a percentage, or as they are."""
        there = numbers_of(said)
        return {path for path, number in self.numbers.items() if not there.isdisjoint(_ways_to_say(path, number))}


def numbers_of(said: str) -> set[Decimal]:
    """Every number in a text; ids, hashes and colors are none."""
    without = re.sub(r"\b[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}\b|\b[0-9a-f]{32,}\b|#[0-9a-f]{6}\b", " ", said)
    return {Decimal(found.replace(",", "")) for found in re.findall(r"\d[\d,]*(?:\.\d+)?", without)}


def _ways_to_say(path: str, number: Decimal) -> Iterable[Decimal]:
    if path.endswith("cents"):
        return number, number / 100, Decimal(round(number / 100))
    return (number, round(number, 2)) if path in RATES else (number, number * 100)


def classes(kinds: Iterable[Any]) -> dict[str, type]:
    """The dataclasses that things of these kinds consist of, by name; outlines are geometry."""
    found: dict[str, type] = {}
    for kind in kinds:
        if is_dataclass(kind) and kind is not Outline:
            found |= {kind.__name__: kind, **classes(get_type_hints(kind).values())}
        else:
            found |= classes(get_args(kind))
    return found


def planted(thing: Any, marks: Marks) -> Any:
    """A thing with a mark in every text, and in every sum, price and share."""
    hints = get_type_hints(type(thing))
    told = {one.name: (f"{type(thing).__name__}.{one.name}", getattr(thing, one.name)) for one in fields(thing)}
    return replace(thing, **{name: _marked(hints[name], path, value, marks) for name, (path, value) in told.items()})


def _marked(hint: Any, path: str, value: Any, marks: Marks) -> Any:  # noqa: PLR0911 - one line a sort of field
    options = [one for one in get_args(hint) if one is not type(None)] if type(None) in get_args(hint) else [hint]
    kind, of = options[0], get_args(options[0])
    if path in CODED | PLAIN_DECIMALS or isinstance(value, Outline):
        return value
    if kind is str:
        return marks.text(path)
    if kind is Decimal or (kind is int and path.endswith("cents")):
        number = marks.number(path)
        return number if kind is Decimal else int(number)
    if is_dataclass(value):
        return planted(value, marks)
    if get_origin(kind) is tuple and of == (str, ...):
        return (marks.text(path),)
    if get_origin(kind) is tuple and value and is_dataclass(value[0]):
        return tuple(planted(one, marks) for one in value)
    if isinstance(value, Mapping) and of:
        return {key: _marked(of[1], path, one, marks) for key, one in value.items()}
    return value
