"""Two devices at one firm, in any order: a client, a plan, a price, offers, signatures, changes after them, undo, backups and restores.

After each step the firm must be as the ledger says: what was acknowledged is there, once; what was refused changed
nothing; the record holds; papers are the very bytes they were; the price is that of a working-out from nothing.
"""

import re
from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4, uuid5

import httpx2 as httpx
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from app.domain.contract.consent import word_of
from app.domain.plan.shapes import placing
from app.services import revisions
from app.services.jobs import open_job
from bars.faulting import no_commit
from tests.played.firm import Played
from tests.played.ledger import Edit, Entry, Ledger, Name, No, Offered, Scope, Thing

TEXTS = ("one", "two", "three")  # few, so that both often type the same
SIZES = (12, 15, 20)  # ft, or dollars; none that the job began with
CALLERS = ("Teodor Asante", "Priya Lindqvist")
TITLES = ("Fire ring", "Herb bed", "Long bench")
FIELDS = {
    "client": ("email", "private_note"),
    "zone": ("title", "words"),
    "alternative": ("width",),
    "price": ("unit_price",),
}
MOST_ZONES = 5
STROKES = "[[[10,10],[60,40],[90,12]]]"
SIGNERS = ("Linnea Whitlock", "Joss Whitlock")

devices = st.sampled_from((0, 1))
numbers = st.integers(0, 11)  # which of a list, counted round


@dataclass(frozen=True)
class Page:
    """A page that somebody types on: at which device, how many versions ago it was read, after the device's own last."""

    at: int
    old: int
    follows: bool


pages = st.builds(Page, at=devices, old=st.integers(0, 3), follows=st.booleans())


@dataclass(frozen=True)
class Sent:
    """A request that was taken, to be sent again."""

    device: int
    path: str
    form: Mapping[str, str]


class Play(RuleBasedStateMachine):
    """The play. `Ledger` says what must be; the rules send what pages send."""

    firm: Played

    def __init__(self) -> None:
        super().__init__()
        self.firm = Played()
        self.epoch = self.firm.office.epoch
        self.drawn: dict[Name, tuple[str, str]] = {}  # how deep a way is, and where it lies: as typed
        self.ledger = self._begun()
        self.kept: list[Ledger] = []
        self.sent: list[Sent] = []

    def teardown(self) -> None:
        try:
            self._price_is_that_of_nothing_kept()
            self._disk_is_as_told()
        finally:
            self.firm.ends()

    # -- what people do

    @rule(page=pages, which=numbers, field=numbers, value=numbers)
    def types_over_the_client(self, page: Page, which: int, field: int, value: int) -> None:
        """A text of the client."""
        self._types_over(page, "client", which, field, value)

    @rule(page=pages, which=numbers, field=numbers, value=numbers)
    def types_over_a_zone(self, page: Page, which: int, field: int, value: int) -> None:
        """A text of a zone, be it gone meanwhile."""
        self._types_over(page, "zone", which, field, value)

    @rule(page=pages, which=numbers, value=numbers)
    def draws_it_wider(self, page: Page, which: int, value: int) -> None:
        """How wide a zone is, which its price goes by."""
        self._types_over(page, "alternative", which, 0, value)

    @rule(page=pages, which=numbers, value=numbers)
    def types_a_price(self, page: Page, which: int, value: int) -> None:
        """What a material costs, in the firm's book; somebody has the price of the job open meanwhile."""
        self._price_is_that_of_nothing_kept()
        self._types_over(page, "price", which, 0, value)
        self._price_is_that_of_nothing_kept()

    def _types_over(self, page: Page, kind: str, which: int, field: int, value: int) -> None:
        names = [name for name in self.ledger.things if name.kind == kind]
        name = names[which % len(names)]
        thing = self.ledger.things[name]
        read_at = thing.version - page.old % (len(thing.steps[-3:]) + 1)
        fields, form = self._typed(name, FIELDS[kind][field % len(FIELDS[kind])], value)
        job = self._job_of(name)
        after = self.firm.devices[page.at].last if page.follows else ""
        sent = {"version": str(read_at), **form, **({"follows": after} if after else {})}
        entry = self._entry(page.at, job, after)
        self._sends(page.at, self._path(name, job), sent, entry, [Edit(name, fields, read_at)])

    @rule(at=devices, which=numbers)
    def begins_a_job(self, at: int, which: int) -> None:
        """Somebody calls."""
        caller = CALLERS[which % len(CALLERS)]
        entry = self._entry(at, "")
        answer = self._post(at, "/jobs", {"name": caller, "town": "Alder Ferry"}, entry.id)
        assert answer.status_code < 400, said_in(answer)
        place = answer.headers.get("location") or answer.headers["hx-redirect"]
        job = place.split("/")[2]
        assert job not in self.ledger.jobs
        self.ledger.jobs.add(job)
        self._taken(at, "/jobs", {"name": caller, "town": "Alder Ferry", "change_id": entry.id})

    @precondition(lambda self: len(self.ledger.there("zone")) < MOST_ZONES)
    @rule(at=devices, which=numbers)
    def draws_a_zone(self, at: int, which: int) -> None:
        """A zone is drawn on the plan of the first job."""
        job, entry = self.firm.job, self._entry(at, self.firm.job)
        title = TITLES[which % len(TITLES)]
        place = 20 * (4 + len(self.ledger.entries))
        form = {
            "title": title,
            "kind": "other",
            "outline.shape": "rectangle",
            "outline.width": "12",
            "outline.depth": "8",
        }
        form |= {"outline.left": str(place), "measured": "taped", "assembly": "planting-bed"}
        zone = Name("zone", str(uuid5(UUID(entry.id), "zone")))
        way = Name("alternative", str(uuid5(UUID(entry.id), "way")))
        edits = [Edit(zone, {"title": title, "words": ""}, 0, made=True), Edit(way, {"width": 12}, 0, made=True)]
        self.ledger.way_of[zone], self.drawn[way] = way, ("8", str(place))
        self._sends(at, f"/jobs/{job}/plan/zone/new", form, entry, edits)

    @precondition(lambda self: len(self.ledger.there("zone")) < MOST_ZONES)
    @rule(page=pages, value=numbers, of_zone=st.booleans())
    def draws_one_and_wants_it_back(self, page: Page, value: int, of_zone: bool) -> None:
        """What one has just drawn the other goes on with; then the first wants to undo it."""
        known = len(self.ledger.entries)
        self.draws_a_zone(page.at, value)
        if len(self.ledger.entries) > known:
            zone = self.ledger.there("zone")[-1]
            name = zone if of_zone else self.ledger.way_of[zone]
            self._types_over(replace(page, at=1 - page.at), name.kind, self._place_of(name), 0, value)
            self.undoes(page.at, of_firm=False)

    @precondition(lambda self: len(self.ledger.there("zone")) > 1)
    @rule(at=devices, which=numbers)
    def takes_a_zone_out(self, at: int, which: int) -> None:
        """A zone goes, with how it is drawn."""
        names = self.ledger.there("zone")
        zone = names[which % len(names)]
        way = self.ledger.way_of[zone]
        edits = [Edit(one, None, self.ledger.things[one].version) for one in (way, zone)]
        form = {"version": str(self.ledger.things[zone].version)}
        self._sends(
            at, f"/jobs/{self.firm.job}/plan/zone/{zone.id}/remove", form, self._entry(at, self.firm.job), edits
        )

    @rule(at=devices, of_firm=st.booleans())
    def undoes(self, at: int, of_firm: bool) -> None:
        """Somebody takes their newest change back."""
        job = "" if of_firm else self.firm.job
        entry = self._entry(at, job)
        path, form = ("/firm/undo", {"back": "/firm"}) if of_firm else (f"/jobs/{job}/undo", {"sheet": "client"})
        before = self.firm.head
        answer = self._post(at, path, form, entry.id)
        try:
            self.ledger.undo(entry.id, entry.scope)
        except No as no:
            self._refused(answer, before, str(no))
            return
        assert answer.status_code < 400, said_in(answer)
        assert self.firm.head != before
        self._taken(at, path, {**form, "change_id": entry.id})

    @rule(at=devices, value=numbers)
    def types_nonsense_beside(self, at: int, value: int) -> None:
        """Of a form's two fields one is no number: neither is taken."""
        site, version = self._site()
        before = self.firm.head
        form = {"version": str(version), "access_width": f"{4 + value}", "haul_distance": "far away"}
        answer = self._post(at, f"/jobs/{self.firm.job}/site/site/{site}", form, str(uuid4()))
        self._refused(answer, before, "nonsense")

    @rule(at=devices, value=numbers)
    def saves_onto_a_full_disk(self, at: int, value: int) -> None:
        """The disk takes nothing: that must be said, and a later save is not hindered."""
        client = self._client()
        _fields, form = self._typed(client, "email", value + 12)
        before = self.firm.head
        with no_commit(self.firm.office, "SQLITE_FULL", "database or disk is full"):
            answer = self._post(at, self._path(client, self.firm.job), {"version": "999999", **form}, str(uuid4()))
        assert answer.status_code >= 500, "saved, where nothing could be saved"
        assert self.firm.head == before

    @precondition(lambda self: self.sent)
    @rule(which=numbers)
    def sends_again(self, which: int) -> None:
        """What was taken comes a second time, as after an answer that was lost."""
        again = self.sent[-1 - which % len(self.sent)]
        before = self.firm.head
        answer = self.firm.devices[again.device].sends(again.path, again.form)
        assert answer.status_code < 500, said_in(answer)
        assert self.firm.head == before, "what was sent twice was done twice"
        if not again.path.endswith("/offer") and "/sign/" not in again.path:  # never kept to be sent later
            assert answer.status_code < 400, f"{again.path} sent again: {answer.status_code} {said_in(answer)}"

    # -- papers

    @rule(at=devices)
    def offers(self, at: int) -> None:
        """The proposal of the first job is frozen and offered."""
        self._offers(at, "proposal", f"/jobs/{self.firm.job}/proposal/offer", self._closed() or not self._whole())

    @precondition(lambda self: self._signed())
    @rule(at=devices)
    def offers_what_was_changed(self, at: int) -> None:
        """What today's plan changes of what is signed is frozen and offered as a change order."""
        self._offers(at, "change_order", f"/jobs/{self.firm.job}/proposal/change-order/offer", may_be_refused=True)

    @precondition(lambda self: self._signed() and self.ledger.there("alternative"))
    @rule(at=devices, which=numbers, value=numbers, then=st.sampled_from(("signed", "signed", "declined", "open")))
    def wants_it_wider_after_all(self, at: int, which: int, value: int, then: str) -> None:
        """After the signature something is drawn otherwise; that is offered, and the clients say what they think of it."""
        self.draws_it_wider(Page(at, 0, follows=False), which, value)
        known = len(self.ledger.offers)
        self.offers_what_was_changed(at)
        if len(self.ledger.offers) == known:
            return
        if then == "signed":
            for device in (1 - at, at):
                self.signs(device, again=False)
        elif then == "declined":
            self.declines(at)

    def _offers(self, at: int, kind: str, path: str, may_be_refused: bool) -> None:
        job, entry, before = self.firm.job, self._entry(at, self.firm.job), self.firm.head
        answer = self._post(at, path, {}, entry.id)
        if answer.status_code != 200:
            assert may_be_refused, said_in(answer)
            self._refused(answer, before, "not ready")
            return
        for one in self.ledger.offers.values():
            if one.job == job and one.kind == kind and one.state == "offered":
                one.state = "superseded"
        cents = self.firm.price_of_paper(entry.id)
        self.ledger.offers[entry.id] = Offered(
            job,
            list(SIGNERS),
            len(self._signed()),
            cents,
            kind,
            bytes={"offered": self._paper(at, entry.id, "offered")},
        )
        self._closes(entry)
        self._taken(at, path, {"change_id": entry.id})

    @precondition(lambda self: any(one.state == "offered" for one in self.ledger.offers.values()))
    @rule(at=devices, again=st.booleans())
    def signs(self, at: int, again: bool) -> None:
        """The next of the two signs, or the one who has signed already."""
        id_, one = next((id_, one) for id_, one in self.ledger.offers.items() if one.state == "offered")
        signed = [name for name in SIGNERS if name not in one.waits_for]
        name = signed[0] if again and signed else one.waits_for[0]
        if name not in signed:
            self._consents(at, one.job, id_, name)
        entry, before = self._entry(at, one.job), self.firm.head
        path = f"/show/{one.job}/sign/{id_}"
        form = {"name": name, "agree": "1", "place": "home", "strokes": STROKES}
        answer = self._post(at, path, form, entry.id)
        if name in signed:
            self._refused(answer, before, "signed already")
            return
        if one.kind == "change_order" and len(self._signed()) > one.after:
            self._refused(answer, before, "measured on what no longer stands")
            return
        assert answer.status_code < 400, said_in(answer)
        one.waits_for.remove(name)
        one.state = "offered" if one.waits_for else "signed"
        count = len(SIGNERS) - len(one.waits_for)
        one.bytes[f"signed-{count}"] = made = self._paper(at, id_, f"signed-{count}")
        assert made.startswith(one.bytes["offered"])
        self._closes(entry)
        self._taken(at, path, {**form, "change_id": entry.id})

    @precondition(lambda self: not self._closed() and self._whole())
    @rule(at=devices)
    def agrees(self, at: int) -> None:
        """The proposal is offered and signed by both, one at each device."""
        self.offers(at)
        for device in (at, 1 - at):
            self.signs(device, again=False)

    def _consents(self, at: int, job: str, id_: str, name: str) -> None:
        """Who signs on a screen has opened the pages first, and typed their word."""
        entry = self._entry(at, job)
        form = {"name": name, "word": word_of(id_), "consent": "1"}
        answer = self._post(at, f"/show/{job}/consent/{id_}", form, entry.id)
        assert answer.status_code < 400, said_in(answer)
        self._closes(entry)

    @precondition(lambda self: any(one.state == "offered" for one in self.ledger.offers.values()))
    @rule(at=devices)
    def withdraws(self, at: int) -> None:
        """An offer is taken back, unless somebody has signed it."""
        id_, one = next((id_, one) for id_, one in self.ledger.offers.items() if one.state == "offered")
        entry, before = self._entry(at, one.job), self.firm.head
        answer = self._post(at, f"/jobs/{one.job}/proposal/revisions/{id_}/withdraw", {}, entry.id)
        if len(one.waits_for) < len(SIGNERS):
            self._refused(answer, before, "somebody has signed")
            return
        assert answer.status_code < 400, said_in(answer)
        one.state = "withdrawn"
        self._closes(entry)

    @precondition(lambda self: any(one.kind == "change_order" for one in self.ledger.offers.values()))
    @rule(at=devices)
    def declines(self, at: int) -> None:
        """The clients want no such change: not once it is signed, nor twice."""
        id_, one = next((id_, one) for id_, one in reversed(self.ledger.offers.items()) if one.kind == "change_order")
        entry, before = self._entry(at, one.job), self.firm.head
        form = {"why": "Not this year."}
        answer = self._post(at, f"/jobs/{one.job}/proposal/revisions/{id_}/decline", form, entry.id)
        if one.state != "offered":
            self._refused(answer, before, one.state)
            return
        assert answer.status_code == 200, said_in(answer)
        one.state = "declined"
        self._closes(entry)

    # -- the machine dies

    @precondition(lambda self: len(self.kept) < 2)
    @rule()
    def backs_up(self) -> None:
        """A backup, and what must be there after it is restored."""
        self.firm.backs_up(len(self.kept))
        self.kept.append(deepcopy(self.ledger))

    @precondition(lambda self: self.kept)
    @rule(which=numbers, at=devices)
    def restores(self, which: int, at: int) -> None:
        """All is as it was; what a page from before says is not taken, until it is opened afresh."""
        which %= len(self.kept)
        self.firm.restores(which)
        self.ledger, self.sent = deepcopy(self.kept[which]), []
        client, before = self._client(), self.firm.head
        answer = self._post(at, self._path(client, self.firm.job), {"version": "1", "email": "late"}, str(uuid4()))
        assert answer.status_code == 403, "a page from before the restore was taken"
        assert self.firm.head == before
        assert self.firm.office.epoch > self.epoch
        self.epoch = self.firm.office.epoch
        for device in self.firm.devices:
            device.opens_its_page()
            device.last = ""

    @rule()
    def somebody_checks_the_price(self) -> None:
        """The price shown is that of a working-out from nothing."""
        self._price_is_that_of_nothing_kept()

    # -- what must be

    @invariant()
    def contract_comes_to_what_was_signed_last(self) -> None:
        """The sum of the contract with its changes, and what is billed of it, is what stands on the paper signed last."""
        signed = self._signed()
        if signed:
            assert self.firm.contract_comes_to(self.firm.job) == {signed[-1].cents}

    @invariant()
    def everything_is_as_told(self) -> None:
        """The job as the program has it, every paper byte for byte, the record and the rows against it."""
        self._compare(open_job(self.firm.office, UUID(self.firm.job)))
        prices = self.firm.office.basis().prices
        for name, thing in self.ledger.things.items():
            if name.kind == "price" and thing.fields:
                assert prices[name.id].unit_price == thing.fields["unit_price"]

        self._papers_are_the_very_bytes()
        assert not (found := self.firm.faults_of_record()), found

    def _papers_are_the_very_bytes(self) -> None:
        for id_, one in self.ledger.offers.items():
            for role, known in one.bytes.items():
                assert revisions.hand_out(self.firm.office, id_, role) == known, f"{role} is other bytes than it was"

    def _disk_is_as_told(self) -> None:
        self._compare(self.firm.job_from_disk(self.firm.job))
        for job in self.ledger.jobs:
            self.firm.job_from_disk(job)
        assert self.firm.jobs() == self.ledger.jobs

    def _compare(self, opened: Any) -> None:
        job = opened.job
        told = {
            Name("client", str(job.client.id)): {"email": job.client.email, "private_note": job.client.private_note},
            **{Name("zone", str(one.id)): {"title": one.title, "words": one.words} for one in job.zones},
            **{Name("alternative", str(one.id)): {"width": one.outline.sizes[0]} for one in job.alternatives},
        }
        mine = [name for name in self.ledger.things if name.kind != "price" and self._job_of(name) == self.firm.job]
        must = {name: self.ledger.things[name].fields for name in mine if self.ledger.things[name].fields is not None}
        assert told == must, "not as it was told"
        versions = {name: opened.version(*name) for name in must}
        assert versions == {name: self.ledger.things[name].version for name in must}, "done more or less often"

    def _price_is_that_of_nothing_kept(self) -> None:
        shown = self.firm.price_shown(self.firm.job)
        assert shown == self.firm.price_from_nothing(self.firm.job), "the price shown is an old one"

    # -- small things

    def _begun(self) -> Ledger:
        self.ledger = Ledger()
        opened = open_job(self.firm.office, UUID(self.firm.job))
        job = opened.job
        for zone in job.zones:
            way = Name("alternative", str(zone.chosen_id))
            self.ledger.way_of[Name("zone", str(zone.id))] = way
            outline = job.chosen(zone).outline
            self.drawn[way] = (str(outline.sizes[1]), str(placing(outline)[0][0]))
            self._known(opened, "zone", zone.id, {"title": zone.title, "words": zone.words})
        for way in job.alternatives:
            self._known(opened, "alternative", way.id, {"width": way.outline.sizes[0]})
        self._known(opened, "client", job.client.id, {"email": job.client.email, "private_note": ""})
        for key in self.firm.dearest(self.firm.job)[:2]:
            self.ledger.things[Name("price", key)] = Thing({"unit_price": Decimal("12.5")}, 1)
        self.ledger.jobs, self.begun = self.firm.jobs(), frozenset(self.ledger.way_of)
        return self.ledger

    def _known(self, opened: Any, kind: str, id_: UUID, fields: dict[str, Any]) -> None:
        self.ledger.things[Name(kind, str(id_))] = Thing(fields, opened.version(kind, id_))

    def _typed(self, name: Name, field: str, value: int) -> tuple[dict[str, Any], dict[str, str]]:
        """A new value of a field: as it must then be, and as it is typed."""
        if field == "width":
            depth, left = self.drawn[name]
            width = SIZES[value % len(SIZES)]
            outline = {"outline.shape": "rectangle", "outline.width": str(width), "outline.depth": depth}
            return {field: width}, {**outline, "outline.left": left, "outline.front": "0"}
        if field == "unit_price":
            return {field: Decimal(SIZES[value % len(SIZES)])}, {field: str(SIZES[value % len(SIZES)])}
        text = TEXTS[value % len(TEXTS)]
        return {field: text}, {field: text}

    def _sends(self, at: int, path: str, form: dict[str, str], entry: Entry, edits: list[Edit]) -> None:
        """Send edits that the ledger takes, or that must be refused as it refuses them."""
        before = self.firm.head
        answer = self._post(at, path, form, entry.id)
        if self._closed() and answer.status_code != 200:
            self._refused(answer, before, "signed")
            return
        try:
            self.ledger.take(entry, edits)
        except No as no:
            self._refused(answer, before, str(no))
            return
        assert answer.status_code == 200, f"{path} {form}: {answer.status_code} {said_in(answer)}"
        assert self.firm.head != before
        self._taken(at, path, {**form, "change_id": entry.id})

    def _post(self, at: int, path: str, form: Mapping[str, str], change_id: str) -> httpx.Response:
        return self.firm.devices[at].sends(path, {**form, "change_id": change_id})

    def _refused(self, answer: httpx.Response, before: str, why: str) -> None:
        assert answer.status_code in (404, 409, 422), f"must be refused ({why}): {answer.status_code}"
        assert self.firm.head == before, f"refused ({why}), and yet something was changed"

    def _taken(self, at: int, path: str, form: Mapping[str, str]) -> None:
        self.sent.append(Sent(at, path, form))
        self.firm.devices[at].last = form["change_id"]

    def _closes(self, entry: Entry) -> None:
        entry.closes = True
        self.ledger.entries.append(entry)

    def _closed(self) -> bool:
        """Whether somebody signed: what may then still be edited is not this play's to say."""
        return any(len(one.waits_for) < len(SIGNERS) for one in self.ledger.offers.values())

    def _signed(self) -> list[Offered]:
        """What everybody signed, in the order in which it was offered."""
        return [one for one in self.ledger.offers.values() if one.state == "signed"]

    def _whole(self) -> bool:
        """Whether both zones are there that the job began with: such a job can be offered."""
        return self.begun <= set(self.ledger.there("zone"))

    def _place_of(self, name: Name) -> int:
        return [one for one in self.ledger.things if one.kind == name.kind].index(name)

    def _entry(self, at: int, job: str, follows: str = "") -> Entry:
        return Entry(str(uuid4()), Scope(job, self.firm.devices[at].who), follows=follows)

    def _paper(self, at: int, id_: str, role: str) -> bytes:
        answer = self.firm.devices[at].reads(f"/jobs/{self.firm.job}/revisions/{id_}/{role}.pdf")
        assert answer.status_code < 400, said_in(answer)
        return answer.content

    def _client(self) -> Name:
        return next(name for name in self.ledger.things if name.kind == "client")

    def _site(self) -> tuple[UUID, int]:
        opened = open_job(self.firm.office, UUID(self.firm.job))
        return opened.job.site.id, opened.version("site", opened.job.site.id)

    def _job_of(self, name: Name) -> str:
        return "" if name.kind == "price" else self.firm.job

    def _path(self, name: Name, job: str) -> str:
        if name.kind == "price":
            return f"/prices/price/{name.id}"
        return f"/jobs/{job}/{'client' if name.kind == 'client' else 'plan'}/{name.kind}/{name.id}"


def said_in(answer: httpx.Response) -> str:
    """The sentences of an answer."""
    return (
        " / ".join(re.findall(r'class="(?:error|said|refused|stop)[^>]*>(?:\s*<p>)?([^<]*)', answer.text))
        or answer.text[:200]
    )
