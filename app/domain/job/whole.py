"""The job as one value, and the list of its kinds of things."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from app.domain.job.after import (
    BuiltNote,
    Closing,
    HandedOver,
    PunchItem,
    ShowPermission,
    SignedTest,
    WarrantyCall,
    WarrantyVisit,
)
from app.domain.job.billed import PaidOut, ReachedMilestone, ReceivedPayment
from app.domain.job.changing import ChangeDraft, FoundCondition
from app.domain.job.crewed import CrewOn, SignedCheck
from app.domain.job.daily import LoggedDelay, LoggedHours, LoggedReceipt, LoggedVisit, LoggedWeather, SaidDone
from app.domain.job.head import Client, Head, Need
from app.domain.job.offering import Option, Package
from app.domain.job.ordered import (
    ApprovedSample,
    Backorder,
    CountedMaterial,
    Delivery,
    PalletsBack,
    Substitute,
    SupplierBill,
    SupplyOrder,
)
from app.domain.job.plan import Alternative, Dimension, Edge, Feature, Note, Planting, Run, Work, Zone
from app.domain.job.released import LienRelease, ReleasedPacket
from app.domain.job.site import Easement, Existing, LevelSetup, Mark, Photo, Setback, Site, Underlay
from app.domain.job.subs import Packet, Quote
from app.domain.job.terms import (
    Allowance,
    Approval,
    Choice,
    CutSheet,
    Payment,
    Phase,
    ReminderAnswer,
    Risk,
    Settlement,
    TypedDays,
    UnitPrice,
)
from app.domain.keeping import BoundedByIdentity
from app.domain.plan.outline import Outline


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Everything about one job, by value. Tuples are in the order of `position`, then id."""

    head: Head
    client: Client
    site: Site
    needs: tuple[Need, ...] = ()
    zones: tuple[Zone, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    runs: tuple[Run, ...] = ()
    features: tuple[Feature, ...] = ()
    existing: tuple[Existing, ...] = ()
    edges: tuple[Edge, ...] = ()
    works: tuple[Work, ...] = ()
    plantings: tuple[Planting, ...] = ()
    choices: tuple[Choice, ...] = ()
    phases: tuple[Phase, ...] = ()
    allowances: tuple[Allowance, ...] = ()
    unit_prices: tuple[UnitPrice, ...] = ()
    risks: tuple[Risk, ...] = ()
    payments: tuple[Payment, ...] = ()
    settlements: tuple[Settlement, ...] = ()
    photos: tuple[Photo, ...] = ()
    marks: tuple[Mark, ...] = ()
    level_setups: tuple[LevelSetup, ...] = ()
    underlays: tuple[Underlay, ...] = ()
    setbacks: tuple[Setback, ...] = ()
    easements: tuple[Easement, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    notes: tuple[Note, ...] = ()
    options: tuple[Option, ...] = ()
    packages: tuple[Package, ...] = ()
    reminder_answers: tuple[ReminderAnswer, ...] = ()
    packets: tuple[Packet, ...] = ()
    quotes: tuple[Quote, ...] = ()
    logged_hours: tuple[LoggedHours, ...] = ()
    said_done: tuple[SaidDone, ...] = ()
    logged_weather: tuple[LoggedWeather, ...] = ()
    logged_delays: tuple[LoggedDelay, ...] = ()
    logged_visits: tuple[LoggedVisit, ...] = ()
    logged_receipts: tuple[LoggedReceipt, ...] = ()
    approvals: tuple[Approval, ...] = ()
    cut_sheets: tuple[CutSheet, ...] = ()
    typed_days: tuple[TypedDays, ...] = ()
    change_drafts: tuple[ChangeDraft, ...] = ()
    found_conditions: tuple[FoundCondition, ...] = ()
    reached_milestones: tuple[ReachedMilestone, ...] = ()
    received_payments: tuple[ReceivedPayment, ...] = ()
    paid_out: tuple[PaidOut, ...] = ()
    supply_orders: tuple[SupplyOrder, ...] = ()
    backorders: tuple[Backorder, ...] = ()
    substitutes: tuple[Substitute, ...] = ()
    deliveries: tuple[Delivery, ...] = ()
    pallets_back: tuple[PalletsBack, ...] = ()
    supplier_bills: tuple[SupplierBill, ...] = ()
    approved_samples: tuple[ApprovedSample, ...] = ()
    counted_materials: tuple[CountedMaterial, ...] = ()
    signed_tests: tuple[SignedTest, ...] = ()
    punch_items: tuple[PunchItem, ...] = ()
    handed_over: tuple[HandedOver, ...] = ()
    built_notes: tuple[BuiltNote, ...] = ()
    warranty_visits: tuple[WarrantyVisit, ...] = ()
    warranty_calls: tuple[WarrantyCall, ...] = ()
    show_permissions: tuple[ShowPermission, ...] = ()
    closings: tuple[Closing, ...] = ()
    crew_on: tuple[CrewOn, ...] = ()
    signed_checks: tuple[SignedCheck, ...] = ()
    released_packets: tuple[ReleasedPacket, ...] = ()
    lien_releases: tuple[LienRelease, ...] = ()

    def chosen(self, zone: Zone) -> Alternative | None:
        """The alternative of a zone that is priced: the chosen one, else its only one."""
        own = _by_zone(self.alternatives).get(zone.id.int, ())
        if len(own) == 1:
            return own[0]
        return next((one for one in own if one.id == zone.chosen_id), own[0] if own else None)

    def chosen_by_zone(self) -> Mapping[UUID, Alternative]:
        """The alternative that is priced of each zone that has one: `chosen` for all zones at once."""
        kept = _CHOSEN.get((id(self.zones), id(self.alternatives)))
        if kept is None or kept[0] is not self.zones or kept[1] is not self.alternatives:
            if len(_CHOSEN) >= _MOST_WAYS:
                _CHOSEN.clear()
            kept = (self.zones, self.alternatives, self._chosen_by_zone())
            _CHOSEN[id(self.zones), id(self.alternatives)] = kept
        return kept[2]

    def _chosen_by_zone(self) -> Mapping[UUID, Alternative]:
        known = {one.id: one for one in self.alternatives}
        first: dict[UUID, Alternative] = {}
        for one in self.alternatives:
            first.setdefault(one.zone_id, one)
        found: dict[UUID, Alternative] = {}
        for zone in self.zones:
            named = known.get(zone.chosen_id) if zone.chosen_id else None
            chosen = named if named and named.zone_id == zone.id else first.get(zone.id)
            if chosen:
                found[zone.id] = chosen
        return found


Ways = Mapping[int, tuple[Alternative, ...]]  # by the number of the zone's id: quicker than by the id


_CHOSEN: dict[tuple[int, int], tuple[tuple[Zone, ...], tuple[Alternative, ...], Mapping[UUID, Alternative]]] = {}


_WAYS: dict[int, tuple[tuple[Alternative, ...], Ways]] = {}


_MOST_WAYS = 64


def _by_zone(alternatives: tuple[Alternative, ...]) -> Ways:
    """Alternatives by zone, kept for the very tuple: one page asks for the chosen one hundreds of times."""
    kept = _WAYS.get(id(alternatives))
    if kept is None or kept[0] is not alternatives:
        ways: dict[int, tuple[Alternative, ...]] = {}
        for one in alternatives:
            ways[one.zone_id.int] = (*ways.get(one.zone_id.int, ()), one)
        if len(_WAYS) >= _MOST_WAYS:
            _WAYS.clear()
        _WAYS[id(alternatives)] = kept = (alternatives, ways)
    return kept[1]


def zone_keys(zones: tuple[Zone, ...]) -> tuple[str, ...]:
    """The ids of zones as text, in their order; kept while the zones are the very same."""
    kept = _KEYS.get(zones)
    if kept is None:
        kept = tuple([str(zone.id) for zone in zones])
        _KEYS.keep(zones, kept)
    return kept


def zones_by_key(zones: tuple[Zone, ...]) -> Mapping[str, Zone]:
    """Zones by their ids as text; kept while they are the very same."""
    kept = _BY_KEY.get(zones)
    if kept is None:
        kept = dict(zip(zone_keys(zones), zones, strict=True))
        _BY_KEY.keep(zones, kept)
    return kept


def ways_by_key(job: Job) -> Mapping[str, Alternative]:
    """The chosen way of each zone that has an outline, by the zone's id as text, in the order of the zones; kept."""
    chosen = job.chosen_by_zone()
    kept = _WAYS_BY_KEY.get(chosen)
    if kept is None:
        named = ((key, chosen.get(zone.id)) for key, zone in zip(zone_keys(job.zones), job.zones, strict=True))
        kept = {key: way for key, way in named if way is not None and way.outline is not None}
        _WAYS_BY_KEY.keep(chosen, kept)
    return kept


def outlines_by_key(job: Job) -> dict[str, Outline]:
    """Their outlines, by the same: a new one."""
    return {key: way.outline for key, way in ways_by_key(job).items() if way.outline is not None}


_WAYS_BY_KEY: BoundedByIdentity[Mapping[UUID, Alternative], Mapping[str, Alternative]] = BoundedByIdentity(_MOST_WAYS)
_KEYS: BoundedByIdentity[tuple[Zone, ...], tuple[str, ...]] = BoundedByIdentity(_MOST_WAYS)
_BY_KEY: BoundedByIdentity[tuple[Zone, ...], Mapping[str, Zone]] = BoundedByIdentity(_MOST_WAYS)


Thing = (
    Client
    | Head
    | Site
    | Need
    | Zone
    | Alternative
    | Run
    | Feature
    | Existing
    | Edge
    | Work
    | Planting
    | Choice
    | Phase
    | Allowance
    | UnitPrice
    | Risk
    | Approval
    | CutSheet
    | TypedDays
    | Payment
    | Settlement
    | Photo
    | Mark
    | LevelSetup
    | Underlay
    | Setback
    | Easement
    | Dimension
    | Note
    | Option
    | Package
    | ReminderAnswer
    | Packet
    | Quote
    | LoggedHours
    | SaidDone
    | LoggedWeather
    | LoggedDelay
    | LoggedVisit
    | LoggedReceipt
    | ChangeDraft
    | FoundCondition
    | ReachedMilestone
    | ReceivedPayment
    | PaidOut
    | SupplyOrder
    | Backorder
    | Substitute
    | Delivery
    | PalletsBack
    | SupplierBill
    | ApprovedSample
    | CountedMaterial
    | SignedTest
    | PunchItem
    | HandedOver
    | BuiltNote
    | WarrantyVisit
    | WarrantyCall
    | ShowPermission
    | Closing
    | CrewOn
    | SignedCheck
    | ReleasedPacket
    | LienRelease
)


# kind of thing → (class, field of Job that holds it); the one list that rows, changes and files go by
JOB_THINGS: Mapping[str, tuple[type[Thing], str]] = {
    "job": (Head, "head"),
    "client": (Client, "client"),
    "site": (Site, "site"),
    "need": (Need, "needs"),
    "zone": (Zone, "zones"),
    "alternative": (Alternative, "alternatives"),
    "run": (Run, "runs"),
    "feature": (Feature, "features"),
    "existing": (Existing, "existing"),
    "edge": (Edge, "edges"),
    "work": (Work, "works"),
    "planting": (Planting, "plantings"),
    "choice": (Choice, "choices"),
    "phase": (Phase, "phases"),
    "allowance": (Allowance, "allowances"),
    "unit_price": (UnitPrice, "unit_prices"),
    "risk": (Risk, "risks"),
    "payment": (Payment, "payments"),
    "settlement": (Settlement, "settlements"),
    "photo": (Photo, "photos"),
    "mark": (Mark, "marks"),
    "level_setup": (LevelSetup, "level_setups"),
    "underlay": (Underlay, "underlays"),
    "setback": (Setback, "setbacks"),
    "easement": (Easement, "easements"),
    "dimension": (Dimension, "dimensions"),
    "note": (Note, "notes"),
    "option": (Option, "options"),
    "package": (Package, "packages"),
    "reminder_answer": (ReminderAnswer, "reminder_answers"),
    "packet": (Packet, "packets"),
    "quote": (Quote, "quotes"),
    "logged_hours": (LoggedHours, "logged_hours"),
    "said_done": (SaidDone, "said_done"),
    "logged_weather": (LoggedWeather, "logged_weather"),
    "logged_delay": (LoggedDelay, "logged_delays"),
    "logged_visit": (LoggedVisit, "logged_visits"),
    "logged_receipt": (LoggedReceipt, "logged_receipts"),
    "approval": (Approval, "approvals"),
    "cut_sheet": (CutSheet, "cut_sheets"),
    "typed_days": (TypedDays, "typed_days"),
    "change_draft": (ChangeDraft, "change_drafts"),
    "found_condition": (FoundCondition, "found_conditions"),
    "reached_milestone": (ReachedMilestone, "reached_milestones"),
    "received_payment": (ReceivedPayment, "received_payments"),
    "paid_out": (PaidOut, "paid_out"),
    "supply_order": (SupplyOrder, "supply_orders"),
    "backorder": (Backorder, "backorders"),
    "substitute": (Substitute, "substitutes"),
    "delivery": (Delivery, "deliveries"),
    "pallets_back": (PalletsBack, "pallets_back"),
    "supplier_bill": (SupplierBill, "supplier_bills"),
    "approved_sample": (ApprovedSample, "approved_samples"),
    "counted_material": (CountedMaterial, "counted_materials"),
    "signed_test": (SignedTest, "signed_tests"),
    "punch_item": (PunchItem, "punch_items"),
    "handed_over": (HandedOver, "handed_over"),
    "built_note": (BuiltNote, "built_notes"),
    "warranty_visit": (WarrantyVisit, "warranty_visits"),
    "warranty_call": (WarrantyCall, "warranty_calls"),
    "show_permission": (ShowPermission, "show_permissions"),
    "closing": (Closing, "closings"),
    "crew_on": (CrewOn, "crew_on"),
    "signed_check": (SignedCheck, "signed_checks"),
    "released_packet": (ReleasedPacket, "released_packets"),
    "lien_release": (LienRelease, "lien_releases"),
}
