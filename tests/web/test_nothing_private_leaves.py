"""What leaves the firm carries only what it may: every field of every thing is marked, every byte that leaves is searched.

A field that is new leaves with nothing until it is named here, and an address that hands out a new file is refused here
until somebody says who reads it.
"""

import asyncio
import re
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from io import BytesIO
from typing import get_type_hints
from uuid import UUID, uuid4

import pikepdf
import pypdf
import pytest
from PIL import Image

from app.db.files import FileStore
from app.db.repositories.revisions import Revision
from app.db.tables.things import FIRM_THINGS, KEY_FIELD, KINDS
from app.documents.pdf import pdf_available
from app.domain.adopted import Adopted
from app.domain.basis import Assembly, Firm, FirmPage, Inspection, Subcontractor, Supplier
from app.domain.change import Edit
from app.domain.costing.estimate import Estimate
from app.domain.costing.lines import ALLOWANCE, ROUNDING
from app.domain.job import (
    JOB_THINGS,
    Allowance,
    Approval,
    ApprovedSample,
    Backorder,
    BilledLine,
    BuiltNote,
    CameLine,
    ChangeDraft,
    Choice,
    Closing,
    CountedMaterial,
    CrewOn,
    CutSheet,
    Delivery,
    Dimension,
    Easement,
    Edge,
    EdgeChoice,
    Existing,
    Fate,
    Feature,
    FoundCondition,
    HandedOver,
    Laying,
    LevelSetup,
    LienRelease,
    LoggedDelay,
    LoggedHours,
    LoggedReceipt,
    LoggedVisit,
    LoggedWeather,
    LotLine,
    Mark,
    Need,
    Note,
    Opening,
    Option,
    OwnFactor,
    Package,
    Packet,
    PaidOut,
    PalletsBack,
    Payment,
    Phase,
    Photo,
    PlaceKind,
    Planting,
    PunchItem,
    Quote,
    ReachedMilestone,
    ReceivedPayment,
    ReleasedPacket,
    ReminderAnswer,
    Reply,
    Risk,
    Run,
    RunKind,
    SaidDone,
    SentLine,
    Setback,
    Settlement,
    ShowPermission,
    SignedCheck,
    SignedTest,
    Substitute,
    SupplierBill,
    SupplyOrder,
    TypedDays,
    Underlay,
    UnitPrice,
    WarrantyCall,
    WarrantyVisit,
)
from app.domain.people import CrewMember
from app.domain.plan.outline import Outline
from app.domain.reminder import Reminder
from app.domain.year import Closed, OverheadItem, WorkCalendar, YearAhead
from app.interchange.starting_pay import starting_pay
from app.services import (
    agreements,
    calendar_feed,
    change_orders,
    changes,
    choosing,
    invoicing,
    later_options,
    receiving,
    signed_tests,
)
from app.services.billed import job_money
from app.services.day_sheets import crew_days
from app.services.jobs import changed, made, open_job, save
from app.services.office import Office
from app.services.sheets import sheet
from app.web.routes.show import PAGES
from tests.offering import offer, order, sign
from tests.planting import CODED, Marks, classes, numbers_of, planted
from tests.web.conftest import Browser
from tests.web.test_access import routes

# who reads what an address hands out; every other address is a sheet of ours, which no client's device is answered
READERS = {
    "/show/{job_id}": "client",
    "/show/{job_id}/{key}": "client",
    "/show/{job_id}/sign/{revision_id}": "client",
    "/show/{job_id}/file/{revision_id}/{role}.pdf": "client",
    "/show/{job_id}/paper/{revision_id}.pdf": "client",
    "/jobs/{job_id}/revisions/{revision_id}/{role}.pdf": "client",
    "/jobs/{job_id}/client/early-range.pdf": "client",
    "/jobs/{job_id}/money/invoice/{invoice_id}.pdf": "client",
    "/jobs/{job_id}/money/received/{payment_id}.pdf": "client",
    "/jobs/{job_id}/money/statement.pdf": "client",
    "/jobs/{job_id}/after/care.pdf": "client",
    "/jobs/{job_id}/after/as-built.pdf": "client",
    "/jobs/{job_id}/after/completion.pdf": "client",
    "/jobs/{job_id}/after/release.pdf": "client",
    "/jobs/{job_id}/after/shown.pdf": "shown",  # anybody, by the client's permission
    "/jobs/{job_id}/subs/packet/{packet_id}.pdf": "subcontractor",
    "/jobs/{job_id}/orders/{order_id}.pdf": "supplier",
    "/jobs/{job_id}/orders/{order_id}.txt": "supplier",
    "/jobs/{job_id}/build/order.pdf": "supplier",
    "/jobs/{job_id}/build/order.csv": "supplier",
    "/jobs/{job_id}/build/order.txt": "supplier",
    "/jobs/{job_id}/schedule/days.ics": "calendar",
    "/feed/{token}.ics": "feed",
    "/jobs/{job_id}/build/crew/{key}.pdf": "crew",
    "/jobs/{job_id}/build/crew/{key}": "crew",
    "/jobs/{job_id}/build/layout.pdf": "crew",
    "/jobs/{job_id}/beds/watering.pdf": "client",
    "/trust/authority.crt": "anybody",  # the certificate, of no use without its key
    "/field": "field",
    "/field/{job_id}": "field",
    "/field/{job_id}/left": "field",
    "/field/{job_id}/log": "field",
    "/field/{job_id}/day": "field",
    "/field/{job_id}/after": "field",
    "/field/{job_id}/orders": "field",
    "/field/{job_id}/plan": "field",
    "/field/{job_id}/plan.pdf": "field",
    "/field/{job_id}/layout": "field",
    "/field/{job_id}/layout.pdf": "field",
    "/field/{job_id}/days": "field",
    "/field/{job_id}/days/{day}": "field",
    "/field/{job_id}/days/{day}.pdf": "field",
    "/field/{job_id}/days/{day}/{person}": "field",
    "/field/{job_id}/days/{day}/{person}.pdf": "field",
    "/jobs/{job_id}/days/{day}.pdf": "field",
    "/jobs/{job_id}/days/{day}/{person}.pdf": "field",
    "/field/{job_id}/crew/{key}": "field",
    "/field/{job_id}/crew/{key}.pdf": "field",
    "/jobs/{job_id}/phases/approval/{approval_id}.pdf": "whoever decides",
    "/jobs/{job_id}/plan/print.pdf": "public",  # neighbors and the town see it, too
    "/jobs/{job_id}/plan/shapes.svg": "public",
    "/jobs/{job_id}/plan/shapes.csv": "public",
    "/jobs/{job_id}/job-file.zip": "us",
    "/jobs/{job_id}/along/{taking_id}.zip": "us",
    "/jobs/{job_id}/along/{taking_id}/back.zip": "us",
    "/jobs/{job_id}/compare.pdf": "us",
    "/jobs/{job_id}/palette/lying.svg": "us",
    "/jobs/{job_id}/seen/yard.svg": "us",
    "/jobs/{job_id}/sun/hours.svg": "us",
    "/firm/money/invoices.csv": "us",
    "/firm/money/payments.csv": "us",
    "/firm/money/spending.csv": "us",
    "/firm/taught/table.csv": "us",
    "/firm/waste/table.csv": "us",
    "/firm/known/{name}.csv": "us",
    "/prices/export.csv": "us",
    "/prices/export.xlsx": "us",
    "/prices/list/example.csv": "us",
}
# what each may read, by class: nothing else
MAY_READ = {
    "calendar": {"Zone": "letter"},  # of anybody who is given the file
    "feed": {"Zone": "letter", "Head": "town"},  # of anybody who is given its address
    "whoever decides": {
        "Planting": "variety",  # a town's office, an association's board, the neighbors
        "Plant": "botanical",
        "Firm": "name license phone email",
        "Client": "name second_name",
        "Head": "title street town state",
        "Site": "setbacks easements",
        "Setback": "source",
        "Easement": "title source",
        "Zone": "letter title words",
        "Alternative": "fall_toward",
        "Feature": "title",
        "Work": "title",
        "Dimension": "words",
        "Note": "words",
        "Approval": "title number decided_by",
        "CutSheet": "title",
        "Assembly": "title",
        "Material": "title",
    },
    "client": {
        "WarrantyCall": "what answer",  # what they sent themselves, and what it was answered
        "Firm": "name owner license street town state postal_code phone email card_fee early_pay late_charge retainage invoice_words",
        "FirmPage": "title text reviewed_by",
        "Client": "name second_name",
        "Head": (
            "title street town state postal_code story exclusions design_fee_cents design_fee_paid_cents design_words drawings_owner"
        ),
        "Need": "words",
        "Zone": "letter title words",
        "Feature": "title",
        "Work": "title",
        "Assembly": "title words care",
        "Material": "title",
        "Phase": "title words",
        "Allowance": "title words cents",
        "UnitPrice": "title unit cents",
        "Payment": "event",
        "Photo": "caption",
        "ReceivedPayment": "cents how number taken_back",
        "Dimension": "words",
        "Easement": "title",  # of their own lot, on the plan to scale
        "Planting": "variety",
        "Plant": "botanical common colors",
        "Note": "words",
        "Option": "title words initials",
        "Package": "title words",
        "Alternative": "title",
        "ReminderAnswer": "words",
        "SignedTest": "name",
        "PunchItem": "what",
        "BuiltNote": "batch words",
        "CameLine": "batch",
        "Mark": "title",
        "Run": "title",
        "Site": "datum",
        "ChangeDraft": "words days_words pay_event",
        "FoundCondition": "title words unit cents",
    },
    "shown": {
        "Firm": "name license street town state postal_code phone email",
        "Head": "town",
        "ShowPermission": "words",
    },
    "crew": {
        "Firm": "name",
        "Head": "title street town",
        "Site": "private_lines_note datum ticket",
        "Existing": "title",
        "Mark": "title",
        "Zone": "letter title",
        "Run": "title",
        "Feature": "title",
        "Work": "title",
        "Phase": "title",
        "Assembly": "title",
        "Build": "words tools photos photos_after checks",
        "Parameter": "label",
        "Material": "title",
        "Task": "title",
        "Dimension": "words",
        "Easement": "title",  # on the plan: nothing is dug or built there
        "Note": "words",
    },
    "field": {
        "Planting": "variety",
        "Plant": "botanical",
        "Firm": "name license",
        "CrewMember": "name",
        "SignedCheck": "words name",
        "Client": "name second_name",  # on the plan's title block
        "Head": "title street town",
        "Site": "private_lines_note datum ticket",
        "Existing": "title",
        "Mark": "title",
        "Zone": "letter title",
        "Run": "title",
        "Feature": "title",
        "Work": "title",
        "Phase": "title",
        "Assembly": "title",
        "Inspection": "what",
        "Build": "words tools photos photos_after checks",
        "Parameter": "label",
        "Material": "title",
        "Task": "title",
        "Dimension": "words",
        "Easement": "title",
        "Note": "words",
        "Supplier": "title phone",
        "Price": "pack_name",
        "SupplyOrder": "supplier_title spot batch",
        "SentLine": "title pack_name",
        "LoggedHours": "person words",
        "LoggedWeather": "words",
        "LoggedDelay": "words",
        "LoggedVisit": "who what words",
        "LoggedReceipt": "merchant batch words",  # never what was paid
        "SignedTest": "name license words",
        "PunchItem": "what who done_by client_words",
        "BuiltNote": "words batch",
        "CountedMaterial": "words",
    },
    "public": {
        "Planting": "variety",
        "Plant": "botanical",
        "Firm": "name license",
        "Client": "name second_name",
        "Head": "title street town",
        "Zone": "letter title",
        "Feature": "title",
        "Work": "title",
        "Assembly": "title",
        "Dimension": "words",
        "Easement": "title",
        "Note": "words",
    },
    "subcontractor": {
        "Firm": "name phone email",
        "Head": "title street town",
        "Packet": "title trade words extras",
        "Zone": "letter title",
        "Work": "title",
        "Assembly": "words",
        "Material": "title",
        "Task": "title",
    },
    "supplier": {
        "Firm": "name phone",
        "Head": "title street town",
        "Zone": "letter",
        "Phase": "title",
        "Material": "title",
        "Supplier": "title phone",
        "Price": "pack_name",
        "SupplyOrder": "supplier_title spot batch words confirmation sent_by",
        "SentLine": "title pack_name letters together",
    },
}
OFFSETS = re.compile(r"\d{10} \d{5} [nf]|startxref\s+\d+")  # where objects lie in a file: numbers that say nothing
pytestmark = pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")


def others(zone: UUID, phase: UUID) -> dict[str, object]:
    """One of each thing that the job does not have yet."""
    new = uuid4
    packet, approval = new(), new()
    run, supply = new(), new()
    return {
        "need": Need(id=new(), zone_ids=(zone,)),
        "run": Run(id=run, kind=RunKind.CONDUIT, zone_id=zone, length=30.0),
        "feature": Feature(id=new(), zone_id=zone, x=2.0, y=2.0),
        "existing": Existing(id=new(), kind="deck", fate=Fate.STAYS),
        "edge": Edge(id=new(), zone_id=zone, neighbor="house", choice=EdgeChoice.NOTHING, length=4.0),
        "choice": Choice(id=new(), role="finish", material="paver-cobble-slate", chosen_on=date(2027, 3, 2)),
        "phase": Phase(id=phase, number=1, start=date(2027, 5, 10)),
        "allowance": Allowance(id=new(), zone_id=zone),
        "unit_price": UnitPrice(id=new()),
        "risk": Risk(id=new(), low_cents=1, high_cents=1),
        "approval": Approval(id=approval),
        "cut_sheet": CutSheet(id=new(), approval_id=approval, file="0" * 64),
        "typed_days": TypedDays(id=new(), zone_id=zone),
        "planting": Planting(id=new(), alternative_id=zone, species="liatris-spicata", size="1-gal"),
        "payment": Payment(id=new(), cents=1),
        "settlement": Settlement(id=new(), finding="none", by="", reason="", on=datetime(2027, 3, 2, tzinfo=UTC)),
        "photo": Photo(id=new(), file="0" * 64),
        "mark": Mark(id=new(), x=1.0, y=1.0),
        "level_setup": LevelSetup(id=new()),
        "setback": Setback(id=new(), kind="wall", distance=2.0),
        "easement": Easement(id=new(), outline=Outline("POLYGON ((-8 0, -4 0, -4 4, -8 4, -8 0))")),
        "underlay": Underlay(id=new(), file="0" * 64),
        "dimension": Dimension(id=new(), end=(5.0, 0.0)),
        "note": Note(id=new(), x=3.0, y=3.0),
        "option": Option(id=new(), thing_ids=(run,), taken=True),
        "package": Package(id=new(), zone_ids=(zone,)),
        "packet": Packet(id=packet),
        "quote": Quote(id=new(), packet_id=packet, subcontractor="volt", cents=1),
        "logged_hours": LoggedHours(id=new(), day=date(2027, 5, 10), person="", quarters=4),
        "logged_weather": LoggedWeather(id=new(), day=date(2027, 5, 10)),
        "logged_delay": LoggedDelay(id=new(), day=date(2027, 5, 10), cause="weather"),
        "logged_visit": LoggedVisit(id=new(), day=date(2027, 5, 10), who=""),
        "logged_receipt": LoggedReceipt(id=new(), day=date(2027, 5, 10), cents=1),
        "reached_milestone": ReachedMilestone(id=new(), milestone="", day=date(2027, 5, 10)),
        "received_payment": ReceivedPayment(id=new(), day=date(2027, 3, 2), cents=1, taken_back_on=date(2027, 3, 3)),
        "released_packet": ReleasedPacket(id=new(), packet=str(packet), subcontractor="volt", day=date(2027, 5, 10)),
        "lien_release": LienRelease(id=new(), payment="", kind="conditional progress", day=date(2027, 5, 10), cents=1),
        "paid_out": PaidOut(id=new(), day=date(2027, 5, 10), cents=1),
        "signed_test": SignedTest(id=new(), test="yard-clean", day=date(2027, 6, 1)),
        "punch_item": PunchItem(
            id=new(), what="", day=date(2027, 6, 1), done_on=date(2027, 6, 4), client_on=date(2027, 6, 5)
        ),
        "handed_over": HandedOver(id=new(), day=date(2027, 6, 2)),
        "built_note": BuiltNote(id=new(), thing=str(run), day=date(2027, 5, 12), depth=1.5),
        "warranty_visit": WarrantyVisit(id=new(), after_days=30, day=date(2027, 7, 2)),
        "warranty_call": WarrantyCall(id=new(), what="", day=date(2027, 7, 2), cents=1),
        "show_permission": ShowPermission(id=new(), given_by="", day=date(2027, 7, 2), with_price=True, with_town=True),
        "closing": Closing(id=new(), day=date(2027, 7, 2)),
        "crew_on": CrewOn(id=new(), day=date(2027, 5, 10)),
        "signed_check": SignedCheck(
            id=new(), day=date(2027, 5, 10), words="", name="", zone=str(zone), phase=str(phase), stage="base"
        ),
        "said_done": SaidDone(id=new(), day=date(2027, 5, 10), percent=25),
        "supply_order": SupplyOrder(
            id=supply,
            lines=(SentLine(material="", title="", unit="each", amount=3.0, cents=1, loads=2),),
            sent_on=date(2027, 5, 1),
        ),
        "backorder": Backorder(id=new(), order_id=supply, material=""),
        "substitute": Substitute(id=new(), order_id=supply, material="", unit_price=Decimal(1)),
        "delivery": Delivery(
            id=new(), order_id=supply, day=date(2027, 5, 10), lines=(CameLine(material="", came=1.0),)
        ),
        "pallets_back": PalletsBack(id=new(), order_id=supply, day=date(2027, 5, 10), count=1),
        "supplier_bill": SupplierBill(
            id=new(), order_id=supply, day=date(2027, 5, 10), lines=(BilledLine(material="", amount=1.0, cents=1),)
        ),
        "approved_sample": ApprovedSample(id=new(), material="", name="", day=date(2027, 5, 10)),
        "counted_material": CountedMaterial(id=new(), material="", day=date(2027, 5, 14), left_over=2.0),
        "change_draft": ChangeDraft(id=new(), half_days=2, pay="own"),
        "found_condition": FoundCondition(id=new(), quantity=Decimal("2.5"), cents=1, found_on=date(2027, 5, 11)),
        "reminder_answer": ReminderAnswer(id=new(), reminder="key-and-gate", reply=Reply.BY_CLIENT),
    }


def looked_at(recipe: Assembly) -> Assembly:
    """A recipe whose work an inspector looks at."""
    return replace(recipe, build=replace(recipe.build, inspections=(Inspection(what=""),)))


class Planted:
    """An office in which everything is marked, and one job that was offered and signed."""

    def __init__(self, office: Office, job_id: UUID) -> None:
        self.office, self.job_id, self.marks = office, job_id, Marks()
        self.plant_the_book()
        self.plant_the_job()
        self.browser = Browser(office)

    def plant_the_book(self) -> None:
        basis = self.office.basis()
        book = {
            "assembly": [looked_at(one) for one in basis.assemblies.values()],
            "material": list(basis.materials.values()),
            "task": list(basis.tasks.values()),
            "price": list(basis.prices.values()),
            "supplier": [Supplier(key="quarry", title="")],
            "labor_class": [replace(one, year=starting_pay()) for one in basis.labor_classes.values()],
            "rule": list(basis.rules.values()),
            "subcontractor": [Subcontractor(key="volt", title="")],
            "reminder": [Reminder(key="key-and-gate", title="", question="", exclusion="we are let in")],
            "plant": list(basis.plants.values()),
        }
        assert book.keys() | {"firm"} == FIRM_THINGS.keys()
        edits = []
        for kind, things in book.items():
            for one in things:
                after = changes.fields_of(self.marked(one), kind)
                if kind == "price":
                    after = {**after, "supplier": "quarry"}
                before = {} if kind == "price" else None
                edits.append(
                    Edit(kind=kind, thing_id=getattr(one, KEY_FIELD[kind]), version=1, before=before, after=after)
                )
        page = FirmPage(title="", reviewed_on=date(2027, 1, 4))
        firm = self.marked(
            Firm(
                overhead=dict(self.office.firm().overhead),
                overhead_items=(OverheadItem(title=""),),
                card_rule="passed on",
                year=YearAhead(direct_cents={"material": 1}),
                crew=(CrewMember(key="luz", name="", language="es"),),
                editions=(Adopted(table="", edition=""),),
                calendar=WorkCalendar(closed=(Closed(first=date(2027, 7, 6), last=date(2027, 7, 6)),)),
                terms=page,
                notices=(page,),
            )
        )
        edits.append(
            Edit(kind="firm", thing_id=self.office.firm_id, version=2, before={}, after=changes.fields_of(firm, "firm"))
        )
        save(self.office, None, tuple(edits), order())

    def plant_the_job(self) -> None:
        opened = open_job(self.office, self.job_id)
        job, phase = opened.job, uuid4()
        head = replace(job.head, early={"dining": "large"})
        site = replace(
            job.site,
            openings=(Opening(title=""),),
            lot_lines=(LotLine(x=0.0, y=0.0, side=""),),
            slowing={"haul": OwnFactor(factor=1.2, reason="")},
            ticket_until=date(2027, 6, 1),
        )
        there = [("job", head), ("client", job.client), ("site", site)]
        there += [
            (kind, one)
            for kind, (_, place) in JOB_THINGS.items()
            if kind not in dict(there)
            for one in getattr(job, place)
        ]
        new = {kind: one for kind, one in others(job.zones[0].id, phase).items() if kind not in dict(there)}
        new["planting"] = replace(new["planting"], alternative_id=job.alternatives[0].id)
        new["packet"] = replace(new["packet"], work_ids=tuple(work.id for work in job.works))  # a scope with lines
        assert dict(there).keys() | new.keys() == JOB_THINGS.keys(), "a new kind of thing wants a line in `others`"
        edits = [
            Edit(
                kind=kind,
                thing_id=str(one.id),
                version=opened.version(kind, one.id),
                before={},
                after=self.fields(one, kind),
            )
            for kind, one in there
        ]
        edits += [
            Edit(kind=kind, thing_id=str(one.id), version=0, before=None, after=self.fields(one, kind))
            for kind, one in new.items()
        ]
        titled = next(one for one in job.works if one.place is PlaceKind.ALTERNATIVE)
        laid = self.marked(replace(titled, laying=Laying()))
        edits.append(made("work", replace(laid, id=uuid4(), title="", assembly_hash="")))
        way = Option(id=uuid4(), way_id=job.alternatives[0].id, taken=True, initials="")  # called by what it is
        edits.append(made("option", way))
        spare = Run(id=uuid4(), kind=RunKind.CONDUIT, length=10.0)
        edits.append(made("run", spare))
        left = self.marked(Option(id=uuid4(), thing_ids=(spare.id,), title=""))  # taken once all is signed
        edits.append(made("option", replace(left, taken=False)))
        save(self.office, self.job_id, tuple(edits), order())

    def marked(self, thing):
        return planted(thing, self.marks)

    def fields(self, thing, kind: str):
        found = changes.fields_of(self.marked(thing), kind)
        own = {"job": {"price_shown": "line"}, "work": {"assembly_hash": ""}}  # recipes as they are now, marked
        return {**found, **own.get(kind, {})}


def said_in(content: bytes, kind: str) -> str:
    """Every byte of an answer as text; a PDF with its streams unpacked and its pages read, without its table of offsets."""
    if "pdf" not in kind:
        return content.decode()
    out = BytesIO()
    with pikepdf.open(BytesIO(content)) as file:
        plain = pikepdf.ObjectStreamMode.disable
        level = pikepdf.StreamDecodeLevel.all
        file.save(out, stream_decode_level=level, compress_streams=False, object_stream_mode=plain)
    pages = "\n".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(content)).pages)
    return pages + OFFSETS.sub(" ", out.getvalue().decode("latin-1"))


def of_the_job(path: str) -> bool:
    """Whether an address names the job and nothing else, and is read by somebody but us."""
    return path.count("{") == 1 and path.startswith(("/jobs/", "/field/")) and READERS[path] in MAY_READ


def taken_later(office: Office, job_id: UUID) -> Revision:
    """An option that was left open, taken after signing and offered on a page of its own."""
    left = next(one for one in open_job(office, job_id).job.options if not one.taken)
    choosing.tick(office, job_id, left.id, "LW", taken=True, order=order())
    return asyncio.run(later_options.offer_change(office, sheet(office, job_id), order()))


def billed(office: Office, job_id: UUID) -> tuple[str, UUID]:
    """The first payment reached, billed with a photo, and paid: the invoice and the payment by id."""
    drawn = BytesIO()
    Image.new("RGB", (64, 48), "#99aa88").save(drawn, "JPEG")
    view = sheet(office, job_id)
    photo = view.job.photos[0].id
    file = FileStore(office.settings.files).keep(drawn.getvalue())
    save(office, job_id, (changed("photo", photo, view.version("photo", photo), {"file": file}),), order())
    view = sheet(office, job_id)
    key = job_money(office, view).milestones[0].milestone.key
    receiving.reach(office, view, key, view.today, (photo,), order())
    asked = invoicing.Asked(milestones=(key,), photo_ids=(photo,))
    issued = asyncio.run(invoicing.issue(office, sheet(office, job_id), asked, order()))
    known = {one.id for one in view.job.received_payments}
    paid = {"cents": 5_000, "day": view.today, "how": "check", "invoice": issued.id}
    receiving.receive(office, sheet(office, job_id), paid, order())
    job = open_job(office, job_id).job
    return issued.id, next(one.id for one in job.received_payments if one.id not in known)


def changed_later(held: Planted) -> Revision:
    """A change order: what was found, with all that the owner says of it, offered after signing."""
    draft = ChangeDraft(id=uuid4(), half_days=2, pay="own")
    found = FoundCondition(id=uuid4(), quantity=Decimal("2.5"), cents=1, found_on=date(2027, 5, 11))
    edits = [made("change_draft", held.marked(draft)), made("found_condition", held.marked(found))]
    save(held.office, held.job_id, tuple(edits), order())
    return asyncio.run(change_orders.offer(held.office, sheet(held.office, held.job_id), order()))


def signs_tests(held: Planted) -> None:
    """Every test that the yard asks for is signed, and one thing is still to do."""
    office, job_id = held.office, held.job_id
    view = sheet(office, job_id)
    signed = [
        held.marked(SignedTest(id=uuid4(), test=one.needed.kind.key, place=one.needed.place, day=view.today))
        for one in signed_tests.yard_tests(office, view).waiting
    ]
    still = held.marked(PunchItem(id=uuid4(), what="", day=view.today))
    save(office, job_id, (*(made("signed_test", one) for one in signed), made("punch_item", still)), order())


def addresses(held: Planted) -> dict[str, list[str]]:
    """Every address that leaves, by how it is declared."""
    job, office = f"/jobs/{held.job_id}", held.office
    one = offer(office, held.job_id)
    design = asyncio.run(agreements.offer_design(office, sheet(office, held.job_id), order()))
    for name in one.signers:
        sign(office, held.job_id, one.id, name.name)
    later = taken_later(office, held.job_id)
    invoice, paid = billed(office, held.job_id)
    change = changed_later(held)
    signs_tests(held)
    shown = [f"/show/{held.job_id}/{key}{lift}" for key, _ in PAGES for lift in ("", "?lift=true")]
    zone = open_job(office, held.job_id).job.zones[0].id
    return {
        "/show/{job_id}": [f"/show/{held.job_id}"],
        "/show/{job_id}/{key}": shown,
        "/show/{job_id}/sign/{revision_id}": [
            f"/show/{held.job_id}/sign/{it.id}" for it in (one, design, later, change)
        ],
        "/jobs/{job_id}/phases/approval/{approval_id}.pdf": [
            f"{job}/phases/approval/{one.id}.pdf" for one in open_job(office, held.job_id).job.approvals
        ],
        "/jobs/{job_id}/subs/packet/{packet_id}.pdf": [
            f"{job}/subs/packet/{one.id}.pdf" for one in open_job(office, held.job_id).job.packets
        ],
        "/show/{job_id}/file/{revision_id}/{role}.pdf": [
            *(f"/show/{held.job_id}/file/{one.id}/{role}.pdf" for role in ("offered", "signed")),
            f"/show/{held.job_id}/file/{later.id}/offered.pdf",
            f"/show/{held.job_id}/file/{change.id}/offered.pdf",
        ],
        **{
            f"/jobs/{{job_id}}/orders/{{order_id}}.{kind}": [
                f"{job}/orders/{one.id}.{kind}" for one in open_job(office, held.job_id).job.supply_orders
            ]
            for kind in ("pdf", "txt")
        },
        "/jobs/{job_id}/money/invoice/{invoice_id}.pdf": [f"{job}/money/invoice/{invoice}.pdf"],
        "/jobs/{job_id}/money/received/{payment_id}.pdf": [f"{job}/money/received/{paid}.pdf"],
        "/jobs/{job_id}/revisions/{revision_id}/{role}.pdf": [f"{job}/revisions/{design.id}/offered.pdf"],
        **{path: [path.replace("{job_id}", str(held.job_id))] for path in READERS if of_the_job(path)},
        "/feed/{token}.ics": [f"/feed/{calendar_feed.make_address(office, order())}.ics"],
        "/field": ["/field"],
        "/field/{job_id}/crew/{key}.pdf": [f"/field/{held.job_id}/crew/all.pdf"],
        "/field/{job_id}/crew/{key}": [f"/field/{held.job_id}/crew/{key}" for key in ("all", "general", zone)],
        **day_addresses(held),
        "/jobs/{job_id}/build/crew/{key}.pdf": [f"{job}/build/crew/all.pdf"],
        "/jobs/{job_id}/build/crew/{key}": [f"{job}/build/crew/{key}" for key in ("all", "general", zone)],
    }


def day_addresses(held: Planted) -> dict[str, list[str]]:
    """Sheets of every day, on paper of the first."""
    days = crew_days(held.office, sheet(held.office, held.job_id)).days
    field, ours = f"/field/{held.job_id}/days", f"/jobs/{held.job_id}/days"
    return {
        "/field/{job_id}/days/{day}": [f"{field}/{day}" for day in days],
        "/field/{job_id}/days/{day}.pdf": [f"{field}/{days[0]}.pdf"],
        "/field/{job_id}/days/{day}/{person}": [f"{field}/{days[0]}/luz"],
        "/field/{job_id}/days/{day}/{person}.pdf": [f"{field}/{days[0]}/luz.pdf"],
        "/jobs/{job_id}/days/{day}.pdf": [f"{ours}/{days[0]}.pdf"],
        "/jobs/{job_id}/days/{day}/{person}.pdf": [f"{ours}/{days[0]}/luz.pdf"],
    }


def said_to(held: Planted) -> dict[str, str]:
    """All that each reader is told, by reader."""
    said: dict[str, list[str]] = {reader: [] for reader in MAY_READ}
    for lift in ("", "?lift=true"):  # what may be chosen while nothing is signed
        said["client"].append(held.browser.get(f"/show/{held.job_id}/options{lift}").text)
    for declared, paths in addresses(held).items():
        for path in paths:
            answer = held.browser.get(path)
            assert answer.status_code == 200, path
            said[READERS[declared]].append(said_in(answer.content, answer.headers["content-type"]))
    return {reader: "\n".join(texts) for reader, texts in said.items()}


@pytest.mark.printed
@pytest.mark.slow
def test_every_field_leaves_only_to_whom_it_is_meant_for(stocked: Office, ready: UUID) -> None:
    held = Planted(stocked, ready)
    for reader, text in said_to(held).items():
        found = held.marks.texts_in(text) | held.marks.numbers_in(text)
        allowed = may_read(reader)
        new, gone = sorted(found - allowed), sorted(allowed - found)
        assert not new, f"{', '.join(new)}: this reaches the {reader}; name it in MAY_READ only if it may"
        assert not gone, f"{', '.join(gone)}: this does not reach the {reader} any more"
        assert numbers_of(text).isdisjoint(costs(sheet(stocked, ready).estimate)), (
            f"what it costs us reaches the {reader}"
        )


def may_read(reader: str) -> set[str]:
    return {f"{name}.{field}" for name, fields in MAY_READ[reader].items() for field in fields.split()}


def costs(worked: Estimate) -> set[Decimal]:
    """What lines, purchases and steps cost the firm, beyond what a drawing's coordinates come to; allowances are printed."""
    steps = [one.cents for one in worked.build_up.steps if one.name not in ("allowances", "rounding")]
    lines = [one.cents for one in worked.lines if one.kind not in (ALLOWANCE, ROUNDING)]
    bought = [one.total_cents for one in worked.purchases]
    return {Decimal(cents) / 100 for cents in (*steps, *lines, *bought, worked.cost_cents) if cents > 1_000_00}


def test_every_address_that_hands_something_out_has_its_reader(office: Office) -> None:
    handed = {
        route.path
        for route in routes(office)
        if "GET" in route.methods
        and (route.path.startswith(("/show/", "/field")) or "." in route.path or "/crew/" in route.path)
        and "/photos/" not in route.path  # the job's own pictures
    }
    handed -= {"/worker.js"}  # of the program, with nothing of a job
    assert handed == READERS.keys()


def test_marks_stand_in_every_text_of_every_thing(stocked: Office, ready: UUID) -> None:
    held = Planted(stocked, ready)
    declared = {
        f"{name}.{field}": hint
        for name, one in classes(KINDS.values()).items()
        for field, hint in get_type_hints(one).items()
    }
    texts = {path for path, hint in declared.items() if hint in (str, tuple[str, ...])}
    assert texts - CODED == held.marks.texts.keys() & texts
    assert CODED - declared.keys() == set()
