"""A job told in a TOML file, made through the services in the order in which a person would.

Things name one another by a `key` that exists only in the file. Days are whole days from today: `{ in_days = -3 }`.
Outlines and lines are written as they are typed in the app: corner points in feet, arcs between.
"""

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import fields
from datetime import date, timedelta
from importlib.resources import files
from typing import Any
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from app.domain.codec import from_plain, to_plain
from app.domain.findings import Severity, Stop
from app.domain.job import JOB_THINGS, Laying, PlaceKind, Work
from app.domain.plan.lines import parse_line
from app.domain.plan.outline import Outline
from app.domain.plan.shapes import circle, parse_points
from app.services import beds, jobs, subs, things, zones
from app.services.checks import Going, settle
from app.services.deciding import decide_edge
from app.services.jobs import NewJob, Order, changed
from app.services.office import Office
from app.services.sheets import sheet
from seed_demo.measuring import measure_yard

OUTLINES = frozenset({"outline", "lot", "house"})
REFERENCES: Mapping[str, str] = {"zone": "zone_id", "phase": "phase_id", "way": "way_id"}
LISTS: Mapping[str, str] = {"zones": "zone_ids", "things": "thing_ids", "ways": "way_ids", "options": "option_ids"}
OF_ZONE = ("letter", "words", "private_note")
OF_WAY = ("level", "level_at", "fall", "fall_bearing", "fall_toward")


def read_data(name: str) -> dict[str, Any]:
    """A file of this folder."""
    return tomllib.loads(files("seed_demo").joinpath(f"{name}.toml").read_text(encoding="utf-8"))


def today_of(office: Office) -> date:
    """Today at the firm."""
    return office.clock().astimezone(ZoneInfo(office.firm().time_zone)).date()


def order(what: str = "") -> Order:
    """A change of its own."""
    return Order(change_id=uuid4(), what=what)


class Teller:
    """Makes one job of what its file tells."""

    def __init__(self, office: Office, told: Mapping[str, Any]) -> None:
        self.office = office
        self.told = told
        self.today = today_of(office)
        self.ids: dict[str, UUID] = {}
        self.job_id = uuid4()

    def tell(self) -> UUID:
        """Make the job; returns its id."""
        self.job_id = jobs.begin_job(self.office, NewJob(**self.told["call"]), order())
        self._facts()
        measure_yard(self.office, self.job_id, self.told)
        self._things("setback", "easement", "phase")
        for one in self.told.get("zone", ()):
            self._zone(one)
        for kind, place in (("existing", PlaceKind.EXISTING), ("run", PlaceKind.RUN), ("feature", PlaceKind.FEATURE)):
            for one in self.told.get(kind, ()):
                self._thing(kind, one)
                self._works(place, self.ids[one["key"]], one.get("works", ()))
        for one in self.told.get("edge", ()):
            self._edge(one)
        self._works(PlaceKind.JOB, None, self.told.get("works", ()))
        for one in self.told.get("way", ()):
            self._another_way(one)
        self._things("option", "need", "choice", "allowance", "unit_price", "payment", "reminder_answer", "package")
        self._given_away()
        for one in self.told.get("settle", ()):
            self._settle(one)
        return self.job_id

    def _facts(self) -> None:
        """Client, job and site as they are filled in after the call."""
        opened = jobs.open_job(self.office, self.job_id)
        own = (("client", opened.job.client), ("job", opened.job.head), ("site", opened.job.site))
        edits = tuple(
            changed(kind, thing.id, opened.version(kind, thing.id), self.plain(kind, self.told[kind]))
            for kind, thing in own
            if self.told.get(kind)
        )
        if edits:
            jobs.save(self.office, self.job_id, edits, order("Client and site"))

    def _things(self, *kinds: str) -> None:
        for kind in kinds:
            for one in self.told.get(kind, ()):
                self._thing(kind, one)

    def _thing(self, kind: str, told: Mapping[str, Any]) -> None:
        thing_id = self.ids[told.get("key") or str(uuid4())] = uuid4()
        things.add_thing(self.office, self.job_id, kind, thing_id, self.plain(kind, told), order())

    def _zone(self, told: Mapping[str, Any]) -> None:
        recipes = told.get("works", [{"assembly": ""}])
        new = zones.NewZone(
            title=told["title"],
            kind=told["kind"],
            outline=outline_of(told["outline"]) if "outline" in told else None,
            measured=told.get("measured", "sketch"),
            assembly=recipes[0]["assembly"],
        )
        zone_id = self.ids[told["key"]] = zones.add_zone(self.office, self.job_id, new, order())
        opened = jobs.open_job(self.office, self.job_id)
        way = next(one for one in opened.job.alternatives if one.zone_id == zone_id)
        of_zone = {name: told[name] for name in OF_ZONE if name in told}
        of_zone |= {"phase_id": self.ids[told["phase"]]} if "phase" in told else {}
        of_way = {name: told[name] for name in OF_WAY if name in told} | {"title": told.get("way", way.title)}
        edits = (changed("zone", zone_id, 1, of_zone), changed("alternative", way.id, 1, of_way))
        jobs.save(self.office, self.job_id, edits, order(f"Zone {told['title']}"))
        self._works(PlaceKind.ALTERNATIVE, way.id, recipes)
        self._plants(way.id, told.get("plants", ()))

    def _plants(self, way_id: UUID, told: Sequence[Mapping[str, Any]]) -> None:
        """The plant list of a bed."""
        for one in told:
            added = {"bed": way_id, "species": one["species"]}
            row_id = beds.add_plant(self.office, self.job_id, added, order())
            set_here = {name: value for name, value in one.items() if name != "species"}
            if set_here:
                beds.change_plant(self.office, self.job_id, row_id, set_here, order())

    def _works(self, place: PlaceKind, place_id: UUID | None, told: Sequence[Mapping[str, Any]]) -> None:
        """Recipes of a place that are not there yet, then what is set differently on each."""
        for one in told:
            work = self._work(place, place_id, one["assembly"])
            if work is None:
                zones.add_work(self.office, self.job_id, place, place_id, one["assembly"], order())
                work = self._work(place, place_id, one["assembly"])
            set_here = {name: one[name] for name in ("title", "parameters", "finishes") if name in one}
            set_here |= {"phase_id": self.ids[one["phase"]]} if "phase" in one else {}
            set_here |= {"laying": from_plain(one["laying"], Laying)} if "laying" in one else {}
            if work and set_here:
                opened = jobs.open_job(self.office, self.job_id)
                edit = changed("work", work.id, opened.version("work", work.id), set_here)
                jobs.save(self.office, self.job_id, (edit,), order())

    def _work(self, place: PlaceKind, place_id: UUID | None, assembly: str) -> Work | None:
        works = jobs.open_job(self.office, self.job_id).job.works
        return next(
            (one for one in works if (one.place, one.place_id, one.assembly) == (place, place_id, assembly)), None
        )

    def _edge(self, told: Mapping[str, Any]) -> None:
        """A shared edge decided; what lies across is a zone by its key, or house, lot, ground, wall."""
        across = self.ids.get(told["to"], told["to"])
        edge_id = decide_edge(self.office, self.job_id, self.ids[told["zone"]], str(across), told["built"], order())
        if "drop" in told:
            opened = jobs.open_job(self.office, self.job_id)
            edit = changed("edge", edge_id, opened.version("edge", edge_id), {"drop": told["drop"]})
            jobs.save(self.office, self.job_id, (edit,), order())

    def _another_way(self, told: Mapping[str, Any]) -> None:
        """Another way to do a zone: begun as a copy, with works of its own in place of the copied ones."""
        zone_id = self.ids[told["zone"]]
        zones.copy_alternative(self.office, self.job_id, zone_id, told["title"], order())
        opened = jobs.open_job(self.office, self.job_id)
        way = next(one for one in opened.job.alternatives if one.zone_id == zone_id and one.title == told["title"])
        self.ids[told["key"]] = way.id
        copied = [work for work in opened.job.works if work.place_id == way.id]
        gone = tuple(edit for work in copied for edit in jobs.removal(opened, "work", work.id))
        jobs.save(self.office, self.job_id, gone, order(told["title"]))
        self._works(PlaceKind.ALTERNATIVE, way.id, told["works"])

    def _settle(self, told: Mapping[str, Any]) -> None:
        """The owner goes on in spite of the warnings of a rule, with a reason."""
        found = (one for one in sheet(self.office, self.job_id).findings if one.rule == told["rule"])
        for key in [one.key for one in found if one.severity is Severity.WARN or one.stop is Stop.MONEY]:
            going = Going(by=self.office.who(), reason=told["reason"])
            settle(self.office, self.job_id, key, going, order())

    def _given_away(self) -> None:
        for one in self.told.get("packet", ()):
            self._packet(one)

    def _packet(self, told: Mapping[str, Any]) -> None:
        """A scope sent to subcontractors, and what each quotes: all in it but what the file says."""
        packet_id = uuid4()
        things.add_thing(self.office, self.job_id, "packet", packet_id, self.plain("packet", told), order())
        for one in told["quotes"]:
            quote_id = uuid4()
            plain = {**self.plain("quote", one), "packet_id": str(packet_id)}
            things.add_thing(self.office, self.job_id, "quote", quote_id, plain, order())
            view = sheet(self.office, self.job_id)
            packet = next(it for it in view.job.packets if it.id == packet_id)
            rows = subs.scope_rows(view, packet)
            said = {row.key: subs.Said(stands=one.get("says", {}).get(row.title, "in")) for row in rows}
            subs.say_scope(self.office, self.job_id, quote_id, said, order())
            if one.get("accepted"):
                subs.accept(self.office, self.job_id, quote_id, order(), on=True)

    def plain(self, kind: str, told: Mapping[str, Any]) -> dict[str, Any]:
        """The fields of a thing as a change holds them."""
        known = {field.name for field in fields(JOB_THINGS[kind][0])} - {"id"}
        plain: dict[str, Any] = {}
        for name, value in told.items():
            if name in REFERENCES:
                plain[REFERENCES[name]] = str(self.ids[value])
            elif name in LISTS:
                plain[LISTS[name]] = [str(self.ids[one]) for one in value]
            elif name == "points":
                plain["points"], plain["rises"] = map(to_plain, parse_line(value))
            elif name in known:
                plain[name] = self._plain_value(name, value)
        return plain

    def _plain_value(self, name: str, value: Any) -> Any:
        if name in OUTLINES:
            return to_plain(outline_of(value))
        if isinstance(value, dict) and value.keys() == {"in_days"}:
            return (self.today + timedelta(days=value["in_days"])).isoformat()
        return value


def outline_of(told: str | Mapping[str, Any]) -> Outline:
    """An outline typed as points, or a circle by its radius and middle."""
    if isinstance(told, str):
        return parse_points(told)
    return circle(told["radius"], (told["x"], told["y"]))
