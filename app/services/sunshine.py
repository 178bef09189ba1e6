"""The Sun sheet of a job: its path through the year, hours of sun by place and month, the picture of a month."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from app.documents.sun_drawing import sun_svg
from app.domain.errors import Refused
from app.domain.job import Job, Zone, ZoneKind
from app.domain.keeping import KeptByInputs, Same
from app.domain.plan.measures import centroid
from app.domain.takeoff.sunlight import YEAR, Evening, Scene, evening, grid_of, grown, mean_within, scene_of
from app.domain.trades.sun import TYPICAL_DAY, Blocker, Day, Grid, day_of, shadow_length
from app.services.office import Office
from app.services.sheets import Sheet
from app.worker import run_in_worker
from app.worker.sun_hours import MONTHS, hours_in, sun_payload

NAMES = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
SEATS = frozenset({ZoneKind.DINING, ZoneKind.LOUNGING, ZoneKind.FIRE, ZoneKind.COOKING})
SIX = 6.0  # ft: the fence whose shadow at noon is told
KEPT = 8  # pictures' hours
WORDS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthRow:
    """The 21st of a month: rise, noon, set, and how long the shadow of a 6 ft fence is at noon [ft]."""

    month: int
    day: Day
    shadow: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceRow:
    """A zone with its mean hours of sun by month, and the low sun that reaches its middle of a June evening."""

    zone: Zone
    hours: Mapping[int, float]
    seat: bool
    evening: Evening | None

    @property
    def until(self) -> str:
        """Until when the low sun reaches it, by the clock."""
        return f"{self.evening.until // 60}:{self.evening.until % 60:02d}" if self.evening else ""

    @property
    def words(self) -> str:
        """Where the low sun stands, in words of the compass."""
        if self.evening is None:
            return ""
        first, last = (WORDS[round(one / 22.5) % 16] for one in (self.evening.first, self.evening.last))
        return first if first == last else f"{first} to {last}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SunPage:
    """What the sheet shows; only `missing` where the sun cannot be worked out yet."""

    missing: Sequence[str]
    assumed: Sequence[str] = ()
    months: Sequence[MonthRow] = ()
    places: Sequence[PlaceRow] = ()


def sun_page(office: Office, view: Sheet) -> SunPage:
    """The sheet of a job; without its places until `follow_the_sun` was awaited."""
    scene = scene_of(view.job)
    if not isinstance(scene, Scene):
        return SunPage(missing=scene)
    months = [_month(scene, month) for month in MONTHS]
    hours = _known(office, view, with_grown=False)
    places = () if hours is None else _places(scene, view.job, *hours)
    return SunPage(missing=(), assumed=scene.assumed, months=months, places=places)


def _month(scene: Scene, month: int) -> MonthRow:
    found = day_of(scene.spot, date(YEAR, month, TYPICAL_DAY))
    shadow = shadow_length(SIX, found.highest) if found.highest > 1 else None
    return MonthRow(month=month, day=found, shadow=shadow)


def _outline(job: Job, zone: Zone) -> Any:
    way = job.chosen(zone)
    return way.outline if way else None


_EVENINGS: KeptByInputs[Evening | None] = KeptByInputs(256)
_PLACES: KeptByInputs[tuple[PlaceRow, ...]] = KeptByInputs(16)


def _places(scene: Scene, job: Job, grid: Grid, hours: Any) -> tuple[PlaceRow, ...]:
    rests_on = (Same(scene), Same(hours), Same(job.zones), Same(job.alternatives))
    zones = (zone for zone in job.zones if _outline(job, zone))
    return _PLACES.get_or_make(
        job.head.id, rests_on, lambda: tuple(_place(scene, job, one, grid, hours) for one in zones)
    )


def _place(scene: Scene, job: Job, zone: Zone, grid: Grid, hours: Any) -> PlaceRow:
    outline = _outline(job, zone)
    mean = mean_within(outline, grid, hours)
    middle, seat = centroid(outline), zone.kind in SEATS
    low = _EVENINGS.get_or_make(zone.id, (Same(scene), middle), lambda: evening(scene, middle, 6)) if seat else None
    return PlaceRow(zone=zone, hours=dict(zip(MONTHS, mean, strict=True)), seat=seat, evening=low)


def _known(office: Office, view: Sheet, *, with_grown: bool) -> tuple[Grid, Any] | None:
    """The hours that were worked out last, where they still hold."""
    found = office.database.memory.setdefault("sun hours", {}).get((view.job.head.id, with_grown))
    asked = _asked(view, with_grown=with_grown)
    return (found[1], found[2]) if found and asked and found[0] == asked[0] else None


def _asked(view: Sheet, *, with_grown: bool) -> tuple[object, Scene, tuple[Blocker, ...], Grid] | None:
    scene, grid = scene_of(view.job), grid_of(view.job)
    if not isinstance(scene, Scene) or grid is None:
        return None
    more = grown(view.job, view.basis) if with_grown else ()
    return (scene, grid, tuple((one.shape.wkb, one.high) for one in more)), scene, more, grid


async def follow_the_sun(office: Office, view: Sheet, *, with_grown: bool = False) -> tuple[Grid, Any] | None:
    """Hours of every month over the lot; the worker works them out once, while what throws shadows stays the same."""
    asked, known = _asked(view, with_grown=with_grown), _known(office, view, with_grown=with_grown)
    if known is not None or asked is None:
        return known
    rests_on, scene, more, grid = asked
    hours = hours_in(await run_in_worker("sun", sun_payload(scene, more, grid)), grid)
    memory = office.database.memory.setdefault("sun hours", {})
    if len(memory) >= KEPT:
        memory.clear()
    memory[view.job.head.id, with_grown] = rests_on, grid, hours
    return grid, hours


async def month_picture(office: Office, view: Sheet, month: int, *, with_grown: bool) -> str:
    """The hours of a month over the plan, as SVG. Raises: Refused where the sun cannot be worked out yet."""
    found = await follow_the_sun(office, view, with_grown=with_grown)
    if found is None:
        raise Refused("The sun of this yard cannot be worked out yet: the Sun sheet says what is missing.")
    grid, hours = found
    return sun_svg(view.job, view.basis, grid, hours[month - 1], NAMES[month - 1])
