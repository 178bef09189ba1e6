"""An office in which every changing route finds what it changes, with a name for each thing (all invented).

A thing whose name begins with `spare_` is taken out or used up by one request; nothing else rests on it.
"""

import asyncio
import io
import json
import socket
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

from PIL import Image

from app.config import Settings
from app.db.files import FileStore
from app.db.key_folder import KeyFolder
from app.domain import job as things
from app.domain.contract.consent import word_of
from app.domain.devices import Face, Showing
from app.domain.job import Approval, CutSheet, PlaceKind, Reply, RunKind, ZoneKind
from app.domain.mail import account_of
from app.domain.people import CrewMember
from app.domain.phasing.planner import Asked, PhaseAsked, Want
from app.domain.plan.shapes import from_points, rectangle
from app.domain.selling import Subcontractor, SubPaper
from app.domain.sharing import Over
from app.domain.takeoff.recipe import assembly_toml
from app.interchange.library_file import load_library
from app.services import (
    book,
    bringing_back,
    change_orders,
    choosing,
    clients_yard,
    counting,
    day_said,
    devices,
    fitting,
    handing_over,
    invoicing,
    job_files,
    jobs,
    kept_papers,
    mailing,
    pairing,
    passcode,
    phase_planner,
    placed_lights,
    price_lists,
    proposals,
    receiving,
    revisions,
    sharing,
    signed_tests,
    sprinklers,
    sub_packets,
    subs,
    supply_arrivals,
    supply_events,
    supply_sending,
    takings,
    taught,
    waiting,
    wasted,
)
from app.services.billed import job_money
from app.services.build import list_key
from app.services.checks import Going, set_price
from app.services.daily_log import log_of
from app.services.day_sheets import checks_of, crew_days, day_sheet
from app.services.jobs import NewJob, Order, changed, made
from app.services.library import save_recipe
from app.services.office import Office, open_office
from app.services.opening_along import back_file, open_along, read_file
from app.services.ready_to_build import ready_to_build
from app.services.sheets import sheet
from app.services.supply import supply
from app.services.supply_arrivals import Came
from app.services.unsigned_work import RULE
from app.services.zones import NewZone, add_zone, new_work
from tests.conftest import TestClock
from tests.offering import STROKES
from tests.signed_cheaply import logged, signed, to_stage
from tests.stocked import begun_job, stocked_basis

PASSCODE = "alder 27 quarry"
PDF = b"%PDF-1.4\n% a paper that nobody opens\n%%EOF\n"
NEARLY_SQUARE = from_points([(0, 40), (30, 40.6), (30, 60), (0, 60)])
UNPRICED = ("sod-blue", "starter-feed", "tiller")
SIGNERS = ("Linnea Whitlock", "Joss Whitlock")
REVIEWED = {"reviewed_by": "A. Lawyer", "reviewed_on": "2027-01-04", "file": ""}
PAPERS = {
    "license": "PA 000000",
    "terms": {"title": "Terms", "text": "Changes are agreed in writing.", **REVIEWED},
    "notices": [{"title": title, "text": "You may cancel.", **REVIEWED} for title in ("Cancellation", "Liens")],
}
DRAWING = b'<svg xmlns="http://www.w3.org/2000/svg" width="20" height="10"><rect width="12" height="6"/></svg>'


def _picture() -> bytes:
    drawn = io.BytesIO()
    Image.new("RGB", (64, 48), "#99aa88").save(drawn, "JPEG")
    return drawn.getvalue()


PICTURE = _picture()


def order(what: str = "") -> Order:
    return Order(change_id=uuid4(), what=what)


class Stock:
    """The office and what its things are called: `words["zone_id"]` is the id of the zone that requests are about."""

    def __init__(self, folder: Path) -> None:
        library = load_library()
        stocked = stocked_basis()
        priced = {key: price for key, price in stocked.prices.items() if key not in UNPRICED}
        shipped = replace(stocked, prices=priced, reminders=library.reminders)
        self.office: Office = open_office(Settings(data=folder / "data"), shipped, TestClock(), library.cautions)
        self.words: dict[str, str] = {"folder": str(folder), "firm_id": str(self.office.firm_id)}
        pavers = replace(shipped.assemblies["unit-pavers"], title="Pavers on stone")
        self.words["recipe"] = assembly_toml(pavers)
        self.tokens: dict[str, str] = {}
        self.folder, self.back, self.back_by_command = folder, b"", b""
        self.name(
            sheet="plan",
            kind="zone",
            rule_id="fire-distance-wood",
            **{f"unpriced_{n}": key for n, key in enumerate(UNPRICED, 1)},
        )
        self._shares()
        self._firm()
        self._yard()
        self._other_jobs()
        self._devices()

    def name(self, **named: object) -> None:
        """Give things names."""
        self.words |= {name: str(one) for name, one in named.items()}

    def version(self, kind: str, key: str, job_id: str = "") -> int:
        """The version a form of a thing was read at: of a job, else of the firm."""
        job = UUID(job_id) if job_id else None
        return (
            jobs.open_job(self.office, job).version(kind, key)
            if job
            else book.own(self.office, kind).version(kind, key)
        )

    def id_of(self, name: str) -> UUID:
        """The id of a thing."""
        return UUID(self.words[name])

    def _shares(self) -> None:
        """Ports that nothing else listens on."""
        with socket.socket() as one, socket.socket() as two:
            one.bind(("127.0.0.1", 0))
            two.bind(("127.0.0.1", 0))
            ports = [each.getsockname()[1] for each in (one, two)]
        folder = KeyFolder(self.office.settings.data / sharing.FOLDER)
        folder.write(sharing.KEPT, json.dumps(["brackenfold.local", *ports]).encode())

    def _firm(self) -> None:
        office, paper = self.office, FileStore(self.office.settings.files).keep(PDF)
        jobs.save(office, None, (changed("firm", office.firm_id, 1, PAPERS),), order("papers"))
        for key, title in (("stoltz", "Stoltz Electric"), ("bauer", "Bauer Gas")):
            kept = (SubPaper(kind="insurance", file=paper),) if key == "stoltz" else ()
            one = Subcontractor(key=key, title=title, trade="electric", kept_papers=kept)
            book.make(office, "subcontractor", key, one, order())
        self.name(paper=paper)
        own = replace(office.basis().reminders["permits"], key="dogs", title="Dogs", adds="")
        book.make(office, "reminder", "dogs", own, order())
        maple = replace(office.basis().plants["acer-griseum"], source="measured here")
        book.make(office, "plant", maple.key, maple, order())

    def _yard(self) -> None:
        """One job with everything."""
        office = self.office
        job_id = jobs.begin_job(office, NewJob(name=SIGNERS[0], street="27 Quarry Bend"), order())
        self.name(job_id=job_id)
        for make in (_ground, _plan, _terms):
            named = make(office, job_id)
            jobs.save(office, job_id, tuple(made(kind, one) for _, kind, one in named), order())
            self.name(**{name: one.id for name, _, one in named if name})
        job = jobs.open_job(office, job_id).job
        self.name(work_id=self.words["zone_work_id"], site_id=job.site.id, client_id=job.client.id)
        fields = {
            "house": rectangle(40, 20, at=(0, -30)),
            "lot": rectangle(160, 140, at=(-30, -60)),
            "openings": [
                {"title": title, "x": at, "y": -10.0, "width": 3.0}
                for title, at in (("Kitchen", 8.0), ("Garage", 30.0))
            ],
            "seen_on": "2027-03-01",
            "haul_distance": 40.0,
            "access_width": 6.0,
        }
        site = changed("site", job.site.id, self.version("site", str(job.site.id), str(job_id)), fields)
        jobs.save(office, job_id, (site,), order())
        photo = things.Photo(id=uuid4(), file=FileStore(office.settings.files).keep(PICTURE), when="sample")
        jobs.save(office, job_id, (made("photo", photo),), order())
        self.name(photo_id=photo.id)
        bed = office.basis().assemblies["planting-bed"]
        save_recipe(office, "planting-bed", 0, assembly_toml(replace(bed, title="Planting bed, deep")), order())

    def _other_jobs(self) -> None:
        office = self.office
        other = jobs.begin_job(office, NewJob(name="Teodor Asante", street="5 Mill Race"), order())
        kept_off = things.Setback(id=uuid4(), side="rear", distance=10.0, source="Zoning 4.2")
        jobs.save(office, other, (made("setback", kept_off),), order())
        caller = jobs.begin_job(office, NewJob(name="Priya Lindqvist"), order())
        wishes = changed("job", caller, 1, {"early": {"cooking": "small", "path": "medium"}})
        jobs.save(office, caller, (wishes,), order())
        came = job_files.bring_in(office, job_files.export_job(office, other), order())
        bare = jobs.begin_job(office, NewJob(name="Ines Ferrow"), order())
        opened = jobs.open_job(office, bare)
        jobs.save(
            office,
            bare,
            tuple(edit for one in opened.job.works for edit in jobs.removal(opened, "work", one.id)),
            order(),
        )
        built = jobs.begin_job(office, NewJob(name="Nadia Orr"), order())
        jobs.save(office, built, (changed("job", built, 1, {"stage": "building"}),), order())
        hours = things.LoggedHours(id=uuid4(), day=office.clock().date(), person="Ada", quarters=8, words="Raking")
        delay = things.LoggedDelay(id=uuid4(), day=hours.day, cause="weather", whose="nobody", half_days=1)
        jobs.save(office, built, (made("logged_hours", hours), made("logged_delay", delay)), order())
        task = log_of(office, built).tasks[0].at.text
        self.name(hours_id=hours.id, delay_id=delay.id, task=task, today=hours.day)
        self._days_of(built)
        self.name(built_id=built, other_id=other, caller_id=caller, came_id=came.job_id, bare_id=bare)

    def _days_of(self, built: UUID) -> None:
        """A terrace of the built job, somebody of the crew, and a check signed for on the first day that has one."""
        office = self.office
        crew = (CrewMember(key="ada", name="Ada", language="es"),)
        version = self.version("firm", str(office.firm_id))
        book.set_fields(office, "firm", office.firm_id, version, {"crew": crew}, order())
        terrace = NewZone(title="Court", kind="dining", outline=rectangle(12, 10), assembly="unit-pavers")
        add_zone(office, built, terrace, order())
        view = sheet(office, built)
        on = [(day, part) for day in crew_days(office, view).days[:12] for part in day_sheet(office, view, day).parts]
        day, part, words = next((day, part, checks_of(office, part)) for day, part in on if checks_of(office, part))
        day_said.sign_check(office, view, day, part.key, words[0], "Ada", order())
        signed = sheet(office, built).job.signed_checks[0]
        self.name(crew_day=day, day_part=part.key, day_check=words[0], signed_check_id=signed.id)

    def _devices(self) -> None:
        """A tablet of ours, a phone of the crew's, a tablet of the client's."""
        office = self.office
        asyncio.run(passcode.set_passcode(office, PASSCODE, PASSCODE, order()))
        for name, face in (("tablet", Face.OURS), ("phone", Face.FIELD), ("client_tablet", Face.CLIENT)):
            self.asks(face)
            self.tokens[name] = self.tokens.pop("asking")
            pairing.allow(office, UUID(self.words["pairing_id"]), name, order())
            self.name(**{f"{name}_id": self.words["pairing_id"]})

    def begins_pairing(self, face: Face = Face.CLIENT) -> None:
        """A code waits to be typed."""
        one = pairing.begin(self.office, face, UUID(self.words["job_id"]))
        self.name(pairing_id=one.id, code=pairing.code_of(self.office, one))

    def asks(self, face: Face = Face.CLIENT) -> None:
        """A device waits to be let in."""
        self.begins_pairing(face)
        asked = pairing.ask(self.office, self.words["code"], "A tablet", "192.168.43.50", Over.SECURE.value)
        self.tokens["asking"] = asked.token

    def hands_over(self) -> None:
        """The tablet shows the client's face."""
        self._turn("tablet", Showing(Face.CLIENT, self.id_of("job_id")))

    def turns_phone(self) -> None:
        """The crew's phone shows our face."""
        self._turn("phone", Showing())

    def _turn(self, name: str, showing: Showing) -> None:
        device = devices.device_of(self.office, self.tokens[name])
        assert device is not None
        devices.turn(self.office, device, showing)

    def sets_no_passcode(self) -> None:
        """Nobody is asked for a passcode."""
        passcode.take_away(self.office, order())

    def parts(self) -> None:
        """A job was sold, and nobody is asked for a passcode."""
        self.sells()
        self.sets_no_passcode()

    def came_back(self) -> None:
        """A job was on another laptop, was changed there, and the file it comes back in was looked into."""
        if "brought" in self.words:
            return
        office, job_id = self.office, self.id_of("bare_id")
        self.back = self._file_of_back(job_id)
        _, name = asyncio.run(bringing_back.receive(office, self.back))
        self.name(brought=name, counter=jobs.open_job(office, job_id).counter)

    def comes_back(self) -> None:
        """Another job was on another laptop and was changed there; nobody looked into its file yet."""
        self.back_by_command = self._file_of_back(self.id_of("other_id"))

    def _file_of_back(self, job_id: UUID) -> bytes:
        office = self.office
        one = takings.take_along(office, job_id, "The laptop in the bag", order())
        away = open_office(
            Settings(data=self.folder / f"laptop-{job_id}"), office.shipped, TestClock(), office.cautions
        )
        open_along(away, read_file(takings.file_of(office, one)), order())
        version = jobs.open_job(away, job_id).version("job", job_id)
        jobs.save(away, job_id, (changed("job", job_id, version, {"next_step": "Call"}),), order())
        made = back_file(away, job_id, takings.of_job(away, job_id)[0])
        away.database.close()
        return made

    def goes_along(self) -> None:
        """A job is away, and will not come back."""
        one = takings.take_along(self.office, self.id_of("caller_id"), "A phone", order())
        self.name(taking_id=one.id)

    def looks_for_best(self) -> None:
        """The best set under a budget was looked for."""
        view = sheet(self.office, self.id_of("job_id"))
        asyncio.run(fitting.look_for_best(self.office, view, 9_000_000))

    def plans_phases(self) -> None:
        """The phases of a job were planned otherwise than they are."""
        view = sheet(self.office, self.id_of("job_id"))
        wants = {str(zone.id): Want.WAIT for zone in view.job.zones}
        asked = Asked(phases=(PhaseAsked(),), wants=wants)
        asyncio.run(phase_planner.make_plan(self.office, view, asked))

    def price_list(self) -> bytes:
        """A supplier's list of two things of the book."""
        titles = [self.office.basis().materials[key].title for key in ("paver-brick-clay", "base-stone-34")]
        rows = zip(("AF-1", "AF-2"), titles, ("each", "ton"), ("17.50", "16.40"), strict=True)
        return "\n".join(
            ["Item no.,Description,Unit,Price", *(",".join(f'"{one}"' for one in row) for row in rows)]
        ).encode()

    def sets_lights(self) -> None:
        """A light and its transformer stand on the plan."""
        for name, recipe, x in (("set_light_id", "path-light", 12.0), ("box_id", "light-transformer", 30.0)):
            focus = placed_lights.place_light(self.office, self.id_of("job_id"), recipe, (x, -30.0), order())
            self.name(**{name: focus.removeprefix("feature:")})

    def sets_heads(self) -> None:
        """A sprinkler head of a valve stands on the plan."""
        told = {"valve": sprinklers.next_valve(jobs.open_job(self.office, self.id_of("job_id")).job)}
        focus = sprinklers.place_head(self.office, self.id_of("job_id"), (60.0, -30.0), told, order())
        self.name(set_head_id=focus.removeprefix("existing:"))

    def opens_list(self) -> None:
        """A price list was sent and read."""
        one = asyncio.run(self._opened_list())
        self.name(list_id=one.id, seen=one.seen)

    async def _opened_list(self) -> price_lists.PriceList:
        one = await price_lists.open_list(self.office, self.price_list(), "spring.csv")
        return await price_lists.look(self.office, one.id, wait=10.0)

    def sells(self) -> None:
        """Papers of two jobs: one only offered, one signed with two options left open."""
        if "sold_id" not in self.words:
            asyncio.run(self._sell())

    async def _sell(self) -> None:
        office = self.office
        for name in ("offered", "sold"):
            job_id = self._ready()
            made_out = await proposals.offer(office, sheet(office, job_id), order())
            self.name(**{f"{name}_id": job_id, f"{name}_revision_id": made_out.id})
            self.name(**{f"{name}_word": word_of(made_out.id)})
        for one in SIGNERS:
            act = revisions.Act(name=one, strokes=STROKES)
            await revisions.sign(office, sheet(office, job_id), str(made_out.id), act, order())

    def asks_for_a_yes(self) -> None:
        """An approval was asked for, with a maker's sheet."""
        if "approval_id" not in self.words:
            asked = Approval(id=uuid4(), title="The board's yes", kind="association")
            enclosed = CutSheet(id=uuid4(), approval_id=asked.id, title="Gas fire", file="0" * 64)
            jobs.save(
                self.office, self.id_of("job_id"), (made("approval", asked), made("cut_sheet", enclosed)), order()
            )
            self.name(approval_id=asked.id, cut_sheet_id=enclosed.id)

    def gives_away(self) -> None:
        """A packet is given to somebody whose papers are good, and paid in part, with the release for it."""
        if "sub_payment_id" in self.words:
            return
        office, job_id, packet = self.office, self.id_of("job_id"), self.id_of("packet_id")
        subs.accept(office, job_id, self.id_of("quote_id"), order(), on=True)
        until = ("license_until", "comp_until", "insured_until", "tax_form_on")
        good: dict[str, object] = dict.fromkeys(until, date(2028, 1, 31))
        book.set_fields(office, "subcontractor", "stoltz", self.version("subcontractor", "stoltz"), good, order())
        view = sheet(office, job_id)
        sub_packets.pay(office, view, packet, {"cents": 500_00, "day": view.today}, Going(by="", reason=""), order())
        view = sheet(office, job_id)
        paid = next(one for one in view.job.paid_out if one.packet)
        came = {"kind": "unconditional progress", "day": view.today}
        sub_packets.receive_release(office, view, paid.id, came, b"", order())
        self.name(sub_payment_id=paid.id, lien_release_id=sheet(office, job_id).job.lien_releases[0].id)

    def has_mail(self) -> None:
        """A mail account whose server nobody reaches, and a letter that waits for it."""
        self.sells()
        told = account_of("localhost", 1, "maren", "a password", "maren@brackenfold.example")
        mailing.set_account(self.office, told)
        if "mail_id" not in self.words:
            sold, revision = self.id_of("sold_id"), str(self.words["sold_revision_id"])
            made = mailing.send(self.office, sold, revision, "linnea@example.org", order())
            self.name(mail_id=made.id)

    def orders(self) -> None:
        """Of the signed job two orders were sent, one has a substitute, two are prepared, one list is not."""
        self.sells()
        if "order_id" not in self.words:
            asyncio.run(self._order())

    async def _order(self) -> None:
        office, job_id = self.office, self.id_of("sold_id")
        for held in waiting.waiting(waiting.holds(office, sheet(office, job_id))):
            going = Going(by="Maren Oduya", reason="Stock goods that go back")
            waiting.go_on(office, job_id, held.revision_id, going, order())
        lists = [one for one in supply(office, sheet(office, job_id)).lists if one.can_be_ordered and one.to_order]
        lists.sort(key=lambda one: -len(one.to_order))
        first, second, third = (list_key(one.of) for one in lists[:3])
        materials = [one.line.material for one in lists[0].to_order]
        sent = [self._prepared(first, (material,)) for material in materials[:2]]
        self.name(
            order_id=sent[0], called_off_id=sent[1], list_key=third, material=materials[0], spare_material=materials[2]
        )
        self.name(prepared_id=self._prepared(first), spare_order_id=self._prepared(second))
        proposed = {"material": materials[0], "title": "Slate cobble"}
        supply_events.propose(office, sheet(office, job_id), sent[0], proposed, order())
        job = sheet(office, job_id).job
        supply_events.decide(
            office, sheet(office, job_id), job.substitutes[0].id, "", sheet(office, job_id).today, order(), yes=False
        )
        supply_events.propose(office, sheet(office, job_id), sent[1], {**proposed, "material": materials[1]}, order())
        came = Came(
            day=sheet(office, job_id).today, lines=(things.CameLine(material=materials[0], came=0.5),), pallets=4
        )
        await supply_arrivals.deliver(office, sheet(office, job_id), sent[0], came, b"", order())
        job = sheet(office, job_id).job
        waits = next(one for one in job.substitutes if one.order_id == sent[1])
        self.name(substitute_id=waits.id, delivery_id=job.deliveries[0].id)

    def _prepared(self, key: str, send: tuple[str, ...] = ()) -> UUID:
        """An order of a list; sent with these materials."""
        office, job_id = self.office, self.id_of("sold_id")
        supply_sending.prepare(office, sheet(office, job_id), key, order())
        one = max(sheet(office, job_id).job.supply_orders, key=lambda it: it.number)
        if send:
            supply_sending.send(office, sheet(office, job_id), one.id, send, None, order())
        return one.id

    def knows_newest_offer(self) -> None:
        """The offer that stands now, which nobody has signed."""
        self.sells()
        known = revisions.of_job(self.office, self.id_of("offered_id"))
        self.name(offered_revision_id=next(one.id for one in known if one.kind == revisions.PROPOSAL))

    def bills(self) -> None:
        """Of the signed job one milestone is billed, one reached, the others ahead; something was paid in and out."""
        self.sells()
        if "invoice_id" in self.words:
            return
        office, job_id = self.office, self.id_of("sold_id")
        rows = job_money(office, sheet(office, job_id)).milestones
        day = sheet(office, job_id).today
        for row in rows[:2]:
            receiving.reach(office, sheet(office, job_id), row.milestone.key, day, (), order())
        asked = invoicing.Asked(milestones=(rows[0].milestone.key,))
        issued = asyncio.run(invoicing.issue(office, sheet(office, job_id), asked, order()))
        receiving.receive(office, sheet(office, job_id), {"cents": 5_000, "day": day, "how": "check"}, order())
        paid = {"cents": 5_000, "day": day, "to": "Stoltz Electric", "paid_for": "subcontractor"}
        receiving.pay_out(office, sheet(office, job_id), paid, order())
        job = jobs.open_job(office, job_id).job
        self.name(payment_in_id=job.received_payments[0].id, paid_out_id=job.paid_out[0].id, invoice_id=issued.id)
        self.name(milestone=rows[2].milestone.key, spare_milestone=rows[1].milestone.key)

    def teaches(self) -> None:
        """Pavers of the signed job are laid, with the hours they took."""
        self.sells()
        office, job_id = self.office, self.id_of("sold_id")
        task = next(one for one in log_of(office, job_id).tasks if one.at.task == "lay-pavers")
        logged(office, job_id, {task: task.hours * 2})
        asyncio.run(kept_papers.read_papers(office))
        self.name(taught_mark=taught.lesson_of(office, "lay-pavers")[1].mark)

    def counts(self) -> None:
        """Of a material of the signed job it was counted what is left."""
        self.orders()
        if "counted_key" in self.words:
            return
        office, job_id = self.office, self.id_of("sold_id")
        key = str(self.words["spare_material"])
        self.name(counted_key=key)
        left = counting.Counted(beside=3.0, returned=None, left_over=1.0)
        day = sheet(office, job_id).today
        counting.count(office, sheet(office, job_id), day, {key: left}, "", order())

    def wastes(self) -> None:
        """A closed job whose base stone was counted: more went in than was bid."""
        if "waste_key" in self.words:
            return
        office, key = self.office, "base-stone-34"
        job_id = begun_job(office)
        signed(office, job_id)
        day = sheet(office, job_id).today
        count = things.CountedMaterial(id=uuid4(), material=key, day=day, beside=40.0)
        jobs.save(office, job_id, (made("counted_material", count),), order())
        to_stage(office, job_id, things.Stage.DONE)
        asyncio.run(kept_papers.read_papers(office))
        self.name(waste_key=key, waste_mark=wasted.lesson_of(office, "measured", key)[1].mark)

    def builds(self) -> None:
        """A yard that is built, with tests signed and to sign, and a punch list."""
        if "yard_id" in self.words:
            return
        office = self.office
        job_id = jobs.begin_job(office, NewJob(name="Ida Marlow", street="3 Weir Lane"), order())
        terrace = NewZone(
            title="Terrace", kind="dining", outline=rectangle(12, 10), measured="taped", assembly="unit-pavers"
        )
        add_zone(office, job_id, terrace, order())
        head = changed("job", job_id, jobs.open_job(office, job_id).version("job", job_id), {"stage": "building"})
        day = office.clock().date()
        test = things.SignedTest(id=uuid4(), test="water-runs-off", day=day, name="Ada")
        items = [
            things.PunchItem(id=uuid4(), day=day, what=what, done_on=day if what == "Reset a stone" else None)
            for what in ("Sweep the joints", "Wash the wall", "Reset a stone", "Coil the hose")
        ]
        photo = things.Photo(id=uuid4(), file=FileStore(office.settings.files).keep(PICTURE), when="after")
        note = things.BuiltNote(id=uuid4(), thing="job", day=day, words="Topsoil from the mill yard")
        edits = (head, made("signed_test", test), *(made("punch_item", one) for one in items))
        jobs.save(office, job_id, (*edits, made("photo", photo), made("built_note", note)), order())
        terrace_id = jobs.open_job(office, job_id).job.zones[0].id
        self.name(yard_id=job_id, spare_test_id=test.id, terrace_id=terrace_id)
        self.name(yard_photo_id=photo.id, spare_note_id=note.id)
        self.name(**{f"punch_{n}_id": one.id for n, one in enumerate(items)})

    def has_tested(self) -> None:
        """Every test of that yard is passed."""
        self.builds()
        office, job_id = self.office, self.id_of("yard_id")
        waiting = signed_tests.yard_tests(office, sheet(office, job_id)).waiting
        day = office.clock().date()
        passed = [
            things.SignedTest(
                id=uuid4(),
                test=one.needed.kind.key,
                place=one.needed.place,
                day=day,
                name="Ada",
                said_at=office.clock(),
            )
            for one in waiting
        ]
        if passed:
            jobs.save(office, job_id, tuple(made("signed_test", one) for one in passed), order())

    def is_handed_over(self) -> None:
        """That yard is handed over."""
        self.has_tested()
        office, job_id = self.office, self.id_of("yard_id")
        view = sheet(office, job_id)
        if not view.job.handed_over:
            handing_over.hand_over(office, view, {"day": view.today}, order())

    def has_calls(self) -> None:
        """Calls were taken since that yard was handed over, and it may be shown."""
        self.is_handed_over()
        if "call_id" not in self.words:
            office, job_id = self.office, self.id_of("yard_id")
            view = sheet(office, job_id)
            calls = [things.WarrantyCall(id=uuid4(), day=view.today, what=what) for what in ("A stone rocks", "Weeds")]
            shown = things.ShowPermission(id=uuid4(), day=view.today, given_by="Ida Marlow", words="A terrace")
            edits = (*(made("warranty_call", one) for one in calls), made("show_permission", shown))
            jobs.save(office, job_id, edits, order())
            self.name(call_id=calls[0].id, spare_call_id=calls[1].id, permission_id=shown.id)

    def is_asked(self) -> None:
        """The client of that yard sent a question from their device."""
        self.has_calls()
        if "asked_id" not in self.words:
            job_id = self.id_of("yard_id")
            told = {"what": "When do I sweep?", "kind": "question"}
            asyncio.run(clients_yard.ask(self.office, sheet(self.office, job_id), told, b"", order()))
            calls = sheet(self.office, job_id).job.warranty_calls
            self.name(asked_id=next(one.id for one in calls if one.asked_by))

    def ticks_more(self) -> None:
        """One option more of the signed job is ticked than is signed or offered."""
        self.sells()
        job_id = self.id_of("sold_id")
        left = next(one for one in jobs.open_job(self.office, job_id).job.options if not one.taken)
        choosing.tick(self.office, job_id, left.id, "lw", taken=True, order=order())

    def changes_more(self) -> None:
        """The terrace of the signed job is larger than was signed: work not signed for."""
        self.sells()
        opened = jobs.open_job(self.office, self.id_of("sold_id"))
        terrace = next(zone for zone in opened.job.zones if zone.title == "Terrace")
        way = opened.job.chosen(terrace)
        wider = 18 + len(self.words) % 7 + opened.version("alternative", way.id) / 4
        edit = jobs.changed(
            "alternative", way.id, opened.version("alternative", way.id), {"outline": rectangle(wider, 17)}
        )
        jobs.save(self.office, opened.job.head.id, (edit,), order())
        view = sheet(self.office, opened.job.head.id)
        self.name(unsigned=next(one.key for one in view.readiness.stops if one.rule == RULE))

    def holds_crew(self) -> None:
        """A point that holds the crew of a sold yard, and that somebody may go on with."""
        self.sells()
        ready = ready_to_build(self.office, sheet(self.office, self.id_of("sold_id")))
        held = (one.point for one in (*ready.stops, *ready.cautions)) if ready else ()
        self.name(held_key=next(one.finding.key for one in held if one.may_settle))

    def offers_change_order(self) -> None:
        """A change order that waits to be signed or declined."""
        self.changes_more()
        view = sheet(self.office, self.id_of("sold_id"))
        for material in sorted(view.estimate.materials_unpriced):  # a request before may have placed what has no price
            set_price(self.office, material, Decimal(12), order())
        view = sheet(self.office, self.id_of("sold_id"))
        one = asyncio.run(change_orders.offer(self.office, view, order()))
        self.name(change_order_id=one.id)

    def finds_point(self) -> None:
        """A point of the yard that the owner may settle."""
        self.name(finding=sheet(self.office, self.id_of("job_id")).readiness.money[0].key)

    def _ready(self) -> UUID:
        """A job that can be signed, with an option left open."""
        office = self.office
        job_id = jobs.begin_job(office, NewJob(name=SIGNERS[0], street="27 Quarry Bend"), order())
        for title, at in (("Terrace", 0), ("Long bed", 40), ("Short bed", 60)):
            recipe = "unit-pavers" if title == "Terrace" else "planting-bed"
            zone = NewZone(
                title=title, kind="dining", outline=rectangle(18, 16, at=(at, 0)), measured="taped", assembly=recipe
            )
            add_zone(office, job_id, zone, order())
        opened = jobs.open_job(office, job_id)
        beds = [things.Option(id=uuid4(), title=one.title, thing_ids=(one.id,)) for one in opened.job.zones[1:]]
        seen = {"seen_on": "2027-03-01", "haul_distance": 40.0, "access_width": 6.0}
        answered = [
            things.ReminderAnswer(id=uuid4(), reminder=key, reply=Reply.NOT_NEEDED, reason="Not here")
            for key in office.basis().reminders
        ]
        edits = (
            changed("client", opened.job.client.id, 1, {"second_name": SIGNERS[1]}),
            changed("site", opened.job.site.id, 1, seen),
            changed("job", job_id, opened.version("job", job_id), {"design_fee_cents": 90_000}),
            *(made("option", one) for one in beds),
            *(made("reminder_answer", one) for one in answered),
        )
        jobs.save(office, job_id, edits, order())
        return job_id


Named = list[tuple[str, str, Any]]


def _ground(_office: Office, _job_id: UUID) -> Named:
    """Marks with their tapes, set-ups of the level, what stands there, phases."""
    a, b, c, spare = (
        things.Mark(id=uuid4(), title=title, x=x, y=y, position=at, level=0.0 if at == 0 else None)
        for at, (title, x, y) in enumerate((("A", 0.0, 0.0), ("B", 30.0, 0.0), ("C", None, None), ("D", 60.0, 60.0)))
    )
    c = replace(c, tapes=(things.Tape(from_id=a.id, length=25.0), things.Tape(from_id=b.id, length=25.0)), side="left")
    setup, other = (things.LevelSetup(id=uuid4(), title=title, benchmark_id=a.id, backsight=4.0) for title in "12")
    shed = things.Existing(id=uuid4(), title="Shed", kind="structure", outline=rectangle(8, 8, at=(90, 40)))
    marks = (("mark_a", a), ("mark_b", b), ("mark_id", c), ("spare_mark_id", spare))
    phases = [things.Phase(id=uuid4(), number=n, title=title) for n, title in ((1, "This spring"), (2, "Next year"))]
    return [
        *((name, "mark", one) for name, one in marks),
        ("setup_id", "level_setup", setup),
        ("spare_setup_id", "level_setup", other),
        ("existing_id", "existing", shed),
        *((f"phase_{one.number}_id", "phase", one) for one in phases),
    ]


def _plan(office: Office, job_id: UUID) -> Named:
    """Zones with their ways and works, lines, things, a picture below."""
    found: Named = []
    opened = jobs.open_job(office, job_id)
    places = {
        "zone": ("Dining terrace", rectangle(18, 14), "unit-pavers"),
        "beside": ("Beside it", rectangle(12, 14, at=(18, 0)), "unit-pavers"),
        "long": ("Long bed", rectangle(4, 30, at=(60, 0)), "planting-bed"),
        "wide": ("Wide lawn", NEARLY_SQUARE, "sod-lawn"),
        "spare_zone": ("Corner", rectangle(6, 6, at=(80, 0)), "gravel-surface"),
    }
    for letter, (name, (title, outline, recipe)) in zip("ABCDE", places.items(), strict=True):
        way = things.Alternative(
            id=uuid4(), zone_id=uuid4(), title="Main", outline=outline, level=1.5 if name == "zone" else 0.0
        )
        zone = things.Zone(id=way.zone_id, letter=letter, title=title, kind=ZoneKind.DINING, chosen_id=way.id)
        work = new_work(opened, PlaceKind.ALTERNATIVE, way.id, recipe)
        found += [
            (f"{name}_id", "zone", zone),
            (f"{name}_way_id", "alternative", way),
            (f"{name}_work_id", "work", work),
        ]
    lying = next(one for name, _, one in found if name == "zone_id")
    other = things.Alternative(id=uuid4(), zone_id=lying.id, title="In gravel", outline=rectangle(18, 14))
    edging = things.Run(id=uuid4(), title="Steel edging", kind=RunKind.EDGING, points=((0, 70), (20, 70), (20, 80)))
    long = next(one for name, _, one in found if name == "long_way_id")
    listed = things.Planting(id=uuid4(), alternative_id=long.id, species="echinacea-purpurea", size="1-gal")
    stands = replace(listed, id=uuid4(), pattern="placed", points=((2.0, 2.0), (6.0, 3.0)), position=1)
    pit = things.Feature(id=uuid4(), title="Fire pit", x=9.0, y=7.0)
    file = FileStore(office.settings.files).keep(PICTURE)
    return [
        *found,
        ("other_way_id", "alternative", other),
        ("other_way_work_id", "work", new_work(opened, PlaceKind.ALTERNATIVE, other.id, "gravel-surface")),
        ("planting_id", "planting", listed),
        ("placed_id", "planting", stands),
        ("run_id", "run", edging),
        ("feature_id", "feature", pit),
        ("dimension_id", "dimension", things.Dimension(id=uuid4(), start=(0, 0), end=(18, 0))),
        ("note_id", "note", things.Note(id=uuid4(), words="Low wall", x=5, y=5)),
        ("underlay_id", "underlay", things.Underlay(id=uuid4(), file=file, title="Plat", width=64, height=48)),
    ]


def _terms(office: Office, job_id: UUID) -> Named:
    """Options, packages, what is given away, what was answered and settled."""
    job = jobs.open_job(office, job_id).job
    wide, long = (next(one for one in job.zones if one.letter == letter) for letter in "DC")
    options = [
        things.Option(id=uuid4(), title=f"The {one.title}", thing_ids=(one.id,), taken=True) for one in (wide, long)
    ]
    work = next(one for one in job.works if one.assembly == "sod-lawn")
    packet = things.Packet(id=uuid4(), title="Lawn", work_ids=(work.id,))
    quotes = [
        things.Quote(id=uuid4(), packet_id=packet.id, subcontractor=key, cents=200_000, given_on=date(2027, 3, 1))
        for key in ("stoltz", "bauer")
    ]
    when = datetime(2027, 3, 1, tzinfo=UTC)
    return [
        ("option_id", "option", options[0]),
        ("other_option_id", "option", options[1]),
        (
            "package_id",
            "package",
            things.Package(id=uuid4(), title="All of it", zone_ids=tuple(z.id for z in job.zones)),
        ),
        ("need_id", "need", things.Need(id=uuid4(), words="Shade at noon", must=True)),
        ("packet_id", "packet", packet),
        ("quote_id", "quote", quotes[0]),
        ("other_quote_id", "quote", quotes[1]),
        (
            "",
            "reminder_answer",
            things.ReminderAnswer(id=uuid4(), reminder="dogs", reply=Reply.NOT_NEEDED, reason="None"),
        ),
        (
            "settlement_id",
            "settlement",
            things.Settlement(id=uuid4(), finding="x|y", by="Maren Oduya", reason="Seen", on=when),
        ),
        (
            "waiver_id",
            "settlement",
            things.Settlement(id=uuid4(), finding="y|z", by="Maren Oduya", reason="A waiver", on=when),
        ),
    ]
