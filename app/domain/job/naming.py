"""Which things of a job name others, and what they are to say once those are gone: no name leads to nothing."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import fields
from typing import Any

from app.domain.job.whole import JOB_THINGS, Job

# what goes when a thing goes: kind → (kind of the things that hang on it, the field that names it)
HANGING: Mapping[str, tuple[tuple[str, str], ...]] = {
    "zone": (
        ("alternative", "zone_id"),
        ("edge", "zone_id"),
        ("choice", "zone_id"),
        ("risk", "zone_id"),
        ("typed_days", "zone_id"),
    ),
    "alternative": (("work", "place_id"), ("planting", "alternative_id"), ("option", "way_id")),
    "run": (("work", "place_id"),),
    "feature": (("work", "place_id"),),
    "existing": (("work", "place_id"),),
    "edge": (("work", "place_id"),),
    "packet": (("quote", "packet_id"),),
    "phase": (("payment", "phase_id"),),
    "approval": (("cut_sheet", "approval_id"),),
    "supply_order": tuple(
        (kind, "order_id") for kind in ("backorder", "substitute", "delivery", "pallets_back", "supplier_bill")
    ),
}


def without_names(job: Job, gone: Collection[str]) -> Iterator[tuple[str, Any, Mapping[str, Any]]]:
    """Each thing that names one of `gone` (ids as text): its kind, itself, and the fields that then name it no more."""
    for kind, (_, place) in JOB_THINGS.items():
        held = getattr(job, place)
        for thing in held if isinstance(held, tuple) else (held,):
            fresh = _without(thing, gone)
            if fresh and str(thing.id) not in gone:
                yield kind, thing, fresh


def _without(thing: Any, gone: Collection[str]) -> dict[str, Any]:
    fresh: dict[str, Any] = {}
    for field in fields(thing):
        value = getattr(thing, field.name)
        if field.name.endswith("_ids") and any(str(one) in gone for one in value):
            fresh[field.name] = tuple(one for one in value if str(one) not in gone)
        elif field.name.endswith("_id") and value is not None and str(value) in gone:
            fresh[field.name] = None
    return fresh
