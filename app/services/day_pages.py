"""A day's sheet in words of one person's language, ready for the page and for paper: numbers and symbols first."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

from app.documents.tongues import Tongue, tongue
from app.domain.crew import CrewSheet, LayerKind
from app.domain.job import SignedCheck, Site
from app.domain.people import CrewMember
from app.domain.schedule.inspections import TRADE as INSPECTION
from app.domain.units import format_number
from app.interchange.crew_words import crew_words
from app.services.build import Stands, crew_basis
from app.services.crew_pages import CrewPage, crew_page
from app.services.day_sheets import DayPart, DaySheet, checks_of
from app.services.layout_pages import StakeRow, layout_page
from app.services.office import Office
from app.services.sheets import Sheet, kept

STAKED = frozenset({"ready", "start", "clear", "dig", "lines", "base", "form", "pour", "build"})  # go by stakes


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRow:
    """A check: its words as they are kept, as they are read, and who signed for it, when."""

    words: str
    said: str
    signed: tuple[tuple[SignedCheck, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPage:
    """One stage at one place in words. `page` is None for what a hired trade does alone."""

    part: DayPart
    stage: str
    letter: str
    title: str
    trade: str
    hours: str
    people: tuple[CrewMember, ...]
    page: CrewPage | None
    layers: tuple[tuple[str, str, bool], ...]  # how thick, what, whether it is laid on this stage
    stakes: tuple[StakeRow, ...]
    checks: tuple[CheckRow, ...]
    photos: tuple[tuple[str, str], ...]  # as kept, as read

    @property
    def drawing(self) -> str:
        """The plan with its place marked; empty where nothing is drawn of it."""
        return self.page.drawing if self.page else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ticket:
    """The locate ticket on the day of the sheet: `state` is "good", "out" or "none"."""

    state: str
    number: str = ""
    until: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPage:
    """A day in words."""

    sheet: DaySheet
    say: Tongue
    day: str
    weekday: str
    parts: tuple[PartPage, ...]
    ticket: Ticket
    digs: bool  # whether anything of the day goes into the ground

    @property
    def stands(self) -> Stands:
        """What it stands on."""
        return self.sheet.stands


def day_page(office: Office, view: Sheet, sheet: DaySheet, language: str = "") -> DayPage:
    """Put a day into the language of whose it is, or the one asked for."""
    say = tongue(sheet.person.language if sheet.person else language or "en")
    parts = tuple(_part(office, view, sheet.stands, one, say) for one in sheet.parts)
    cautions = {key for one in sheet.parts if one.sheet for key in one.sheet.cautions}
    return DayPage(
        sheet=sheet,
        say=say,
        day=say.day(sheet.day),
        weekday=say.weekday(sheet.day),
        parts=parts,
        ticket=ticket_on(sheet.day, view.job.site, say),
        digs="dig" in cautions,
    )


def ticket_on(day: date, site: Site, say: Tongue) -> Ticket:
    """How the locate ticket stands on a day. One whose last day nobody wrote down is none to dig by."""
    if not site.ticket or site.ticket_until is None:
        return Ticket(state="none", number=site.ticket)
    state = "good" if day <= site.ticket_until else "out"
    return Ticket(state=state, number=site.ticket, until=say.day(site.ticket_until))


def _part(office: Office, view: Sheet, stands: Stands, one: DayPart, say: Tongue) -> PartPage:
    planned, held = one.row.planned, one.sheet
    page = _page(office, view, stands, one, held, say) if held else None
    zone = next((it for it in stands.job.zones if str(it.id) == planned.place), None)
    pictures = _pictures(office.settings.library, held) if held else ()
    return PartPage(
        part=one,
        stage=say(INSPECTION if planned.inspected else one.stage),
        letter=zone.letter if zone else "",
        title=zone.title if zone else say("The whole job"),
        trade="" if planned.inspected else say(planned.trade),
        hours=format_number(planned.hours, 1) if planned.hours else "",
        people=one.people,
        page=page,
        layers=tuple(_layers(page, one)) if page else (),
        stakes=_stakes(office, view, stands, one) if zone and not planned.trade else (),
        checks=tuple(_checks(office, view, one, say)),
        photos=tuple((words, say(words)) for words in pictures),
    )


def _page(office: Office, view: Sheet, stands: Stands, one: DayPart, held: CrewSheet, say: Tongue) -> CrewPage:
    """Its sheet in words, kept while the job and its basis stand: its drawing takes longer than the rest."""

    def work() -> CrewPage:
        return crew_page(held, stands.job, crew_basis(stands, view.basis), office.settings.library, say)

    signed = stands.signed.id if stands.signed else ""
    key = ("day words", view.job.head.id, signed, one.row.planned.activity.key, say.language)
    return kept(office, key, view.opened, work)


def _pictures(library: Path, held: CrewSheet) -> Sequence[str]:
    """The words of the pictures to take, of its steps, then of its recipes."""
    steps = crew_words(library).steps
    said = (*(steps[key].photo for key in steps if key in held.steps), *held.photos)
    return tuple(words for words in dict.fromkeys(said) if words)


def _layers(page: CrewPage, one: DayPart) -> Iterable[tuple[str, str, bool]]:
    """The layers of all its works, each once, with those marked that are laid on this stage."""
    digging = one.row.planned.stage == "dig"
    found: dict[tuple[str, str], bool] = {}
    for work, told in zip(page.sheet.works, page.works, strict=True):
        for layer, (thick, words) in zip(work.layers, told.layers, strict=True):
            now = digging if layer.kind is LayerKind.DIG else layer.role in one.roles
            found[thick, words] = found.get((thick, words), False) or now
    return ((thick, words, now) for (thick, words), now in found.items())


def _stakes(office: Office, view: Sheet, stands: Stands, one: DayPart) -> tuple[StakeRow, ...]:
    """The stakes of its zone, where it goes by stakes."""
    if one.row.planned.stage not in STAKED or one.sheet is None:
        return ()
    signed = stands.signed.id if stands.signed else ""
    key = ("day stakes", view.job.head.id, signed)
    rows: tuple[StakeRow, ...] = kept(
        office, key, view.opened, lambda: layout_page(stands.job, stands.basis, office.settings.library).stakes
    )
    title = f"{one.sheet.letter} {one.sheet.title}".strip()
    return tuple(row for row in rows if any(title in words for words in row.of))


def _checks(office: Office, view: Sheet, one: DayPart, say: Tongue) -> Iterable[CheckRow]:
    """Its checks; then what was signed for in words that stand there no more."""
    zone = ZoneInfo(view.job.head.time_zone)
    known = checks_of(office, one)
    for words in (*known, *(words for words in one.signed if words not in known)):
        held = one.signed.get(words, ())
        told = tuple((it, f"{it.said_at.astimezone(zone):%H:%M}" if it.said_at else "") for it in held)
        yield CheckRow(words=words, said=say(words), signed=told)
