"""The yard as it is seen: its scene kept while the job stands, drawn as it is asked for; a view told as an address."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from urllib.parse import parse_qsl, urlencode
from zoneinfo import ZoneInfo

from app.documents.axonometric import Sight, axonometric_svg
from app.documents.axonometric_letters import Lettered
from app.documents.plan_parts import middle
from app.domain.job import Job, only_included
from app.domain.seen.ground import drawn_ways, levels_of
from app.domain.seen.scene import scene_of
from app.domain.seen.solids import CORNERS, Scene
from app.domain.seen.sunlight import Sun
from app.domain.trades.sun import YEARS, Spot
from app.domain.trades.sun import sun_at as sun_of_place
from app.interchange.seen_shapes import seen_shapes
from app.services.office import Office
from app.services.sheets import Sheet, kept

LATITUDE = 40.0  # degrees north, while nobody said where the yard lies. Assumption
LIGHTS = ("even", "sun", "evening")


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """A view as it was asked for: corner, light, day and hour of the sun, plants young or grown, ink alone."""

    corner: int = 0
    light: str = "even"
    day: date | None = None
    hour: float = 15.0
    grown: bool = True
    ink: bool = False
    month: int = 0  # in whose bloom the plants stand; 0: in leaf

    def to_corner(self, step: int) -> str:
        """The address of the same view an eighth of a turn further."""
        return self.address(corner=(self.corner + step) % CORNERS)

    def address(self, **other: object) -> str:
        """The view as the query of an address, with something of it otherwise."""
        told = {
            "corner": self.corner,
            "light": self.light,
            "day": self.day.isoformat() if self.day else "",
            "hour": f"{self.hour:g}",
            "plants": "grown" if self.grown else "young",
            "ink": "yes" if self.ink else "",
            "bloom": self.month or "",
        }
        return urlencode({name: value for name, value in (told | other).items() if value != ""})


def looked(asked: Mapping[str, str]) -> Looked:
    """A view as an address tells it; what is no such thing counts as not said."""
    light = asked.get("light", "")
    return Looked(
        corner=_whole(asked.get("corner", ""), CORNERS - 1) or 0,
        light=light if light in LIGHTS else "even",
        day=_day(asked.get("day", "")),
        hour=min(max(_hour(asked.get("hour", "")), 0.0), 24.0),
        grown=asked.get("plants") != "young",
        ink=asked.get("ink") == "yes",
        month=_whole(asked.get("bloom", ""), 12) or 0,
    )


def looked_of(text: str) -> Looked:
    """A view as it is kept with a job."""
    return looked(dict(parse_qsl(text[:300])))


def _whole(text: str, most: int) -> int | None:
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 4 and int(text) <= most else None


def _hour(text: str) -> float:
    try:
        hour = float(text)
    except ValueError:
        return 15.0
    return hour if hour == hour else 15.0  # noqa: PLR0124 - not a number is not itself


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def scene_on(office: Office, view: Sheet, asked: Looked) -> Scene:
    """The scene of a job; kept while the job and its basis stand."""
    grown, month = asked.grown, asked.month
    name = ("scene", view.job.head.id, grown, month)
    return kept(
        office, name, view.opened, lambda: scene_of(view.job, view.basis, seen_shapes(), grown=grown, month=month)
    )


def blooming_months(view: Sheet) -> tuple[int, ...]:
    """The months in which something on the plant lists of what is built blooms, in order."""
    job = only_included(view.job)
    ways = {way.id for way in job.chosen_by_zone().values()}
    plants = (view.basis.plants.get(row.species) for row in job.plantings if row.alternative_id in ways)
    return tuple(sorted({month for one in plants if one for month in one.bloom}))


def sight_of(view: Sheet, asked: Looked) -> Sight:
    """How the yard is looked at, with where it lies and how it is turned."""
    site = view.job.site
    return Sight(
        corner=asked.corner,
        light=asked.light,  # type: ignore[arg-type]
        day=asked.day or view.today,
        hour=asked.hour,
        latitude=LATITUDE if site.latitude is None else site.latitude,
        north=site.north,
        ink=asked.ink,
        by_clock=_by_clock(view.job, asked.day or view.today, asked.hour) if asked.light == "sun" else None,
    )


def _by_clock(job: Job, day: date, hour: float) -> Sun | None:
    """Where the sun stands at an hour of the clock; None while nobody said where on the earth the yard lies."""
    site = job.site
    if site.latitude is None or site.longitude is None or not YEARS[0] <= day.year <= YEARS[1]:
        return None
    minutes = min(round(hour * 60), 24 * 60 - 1)
    moment = datetime.combine(day, time(minutes // 60, minutes % 60), ZoneInfo(job.head.time_zone))
    found = sun_of_place(Spot(site.latitude, site.longitude, job.head.time_zone), moment)
    return Sun(found.bearing, found.altitude)


def drawn_yard(office: Office, view: Sheet, asked: Looked, *, width_px: int = 660, name: str = "yard") -> str:
    """The drawing as SVG; empty where nothing is on the plan yet."""
    scene = scene_on(office, view, asked)
    letters = letters_of(view.job)
    system = view.basis.firm.system
    return axonometric_svg(scene, sight_of(view, asked), letters=letters, width_px=width_px, name=name, system=system)


def letters_of(job: Job) -> tuple[Lettered, ...]:
    """The letters of the zones, where they stand and how high."""
    job = only_included(job)
    levels = levels_of(job)
    return tuple(
        Lettered(zone.letter, f"zone:{zone.id}", middle(way.outline), levels.by_zone[str(zone.id)])
        for zone, way in drawn_ways(job)
        if zone.letter and way.outline
    )
