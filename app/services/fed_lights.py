"""What the owner says of a light or a transformer of the plan: what feeds it, what it takes, what its cables follow."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from app.domain.errors import BadValue, NotFound
from app.domain.plan.open_lines import length_of
from app.domain.takeoff.cable_ways import may_be_followed
from app.domain.takeoff.light_circuits import WATTS, legs_of, lights_of, named_by, said
from app.domain.takeoff.light_tree import TRANSFORMER, Light
from app.domain.units import System, format_length
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import Order, changed
from app.services.office import Office
from app.services.sheets import Sheet

SAID_OF_LIGHT, SAID_OF_SOURCE = ("fed_from", "watts", "lamp"), ("along_ids",)


def feed(office: Office, job_id: UUID, light_id: UUID, values: Mapping[str, Any], order: Order) -> Applied:
    """Say what feeds a light and what each takes there, or what the cables of a transformer follow; nothing: found.

    Raises: NotFound, Stale; BadValue for what feeds none, is fed through that light itself, or is no line.
    """
    opened = jobs.open_job(office, job_id)
    light = next((one for one in lights_of(opened.job, opened.basis) if one.feature.id == light_id), None)
    if light is None:
        raise NotFound("This light is not on the plan (any more). Nothing was changed.")
    source = light.mounting == TRANSFORMER
    fields = {name: values[name] for name in (SAID_OF_SOURCE if source else SAID_OF_LIGHT) if name in values}
    if source and values.get("fed_from"):
        raise BadValue("A transformer hangs on its outlet, not on a light.", field="fed_from")
    if fields.get("fed_from"):
        _refuse_ring(opened, light_id, fields["fed_from"])
    if not fields:
        raise BadValue("Nothing was said of it. Choose or type first.")
    if "along_ids" in fields:
        if not set(fields["along_ids"]) <= {run.id for run in may_be_followed(opened.job, opened.basis)}:
            sentence = "Choose lines of the plan that are no gas line and no conduit of line voltage."
            raise BadValue(sentence, field="along_ids")
        fields["along"] = None  # the one line that could be named before several could
    edit = changed("feature", light_id, opened.version_read(order, "feature", light_id), fields)
    what = f"{light.feature.title or 'A light'}: {'what its cables follow' if source else 'what feeds it'}"
    return jobs.save(office, job_id, (edit,), replace(order, what=what[:60]))


def _refuse_ring(opened: jobs.OpenJob, light_id: UUID, start_id: UUID) -> None:
    if all(one.feature.id != start_id for one in lights_of(opened.job, opened.basis)):
        raise BadValue("Choose a transformer or a light of the list.", field="fed_from")
    start = {leg.end.key: leg.start.key for leg in legs_of(opened.job, opened.basis)}
    at: str | None = str(start_id)
    while at is not None and at != str(light_id):
        at = start.get(at)
    if at is not None:
        raise BadValue("That one is fed through this light itself. Choose another.", field="fed_from")


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedNote:
    """A light or transformer in focus: what may feed it, the lines cables may follow, what a light usually takes."""

    light: Light
    starts: Sequence[tuple[str, str]]
    lines: Sequence[tuple[str, str]]
    follows: Sequence[str]  # of those lines
    usual_watts: float

    @property
    def source(self) -> bool:
        """Whether it is a transformer."""
        return self.light.mounting == TRANSFORMER


def feed_note(view: Sheet, focus: str) -> FeedNote | None:
    """The light or transformer that is in focus."""
    lights = lights_of(view.job, view.basis)
    own = next((one for one in lights if focus == f"light:{one.feature.id}"), None)
    if own is None:
        return None
    others = (one for one in lights if one.feature.id != own.feature.id)
    in_order = sorted(others, key=lambda one: one.mounting != TRANSFORMER)
    system = view.basis.firm.system
    return FeedNote(
        light=own,
        starts=[(str(one.feature.id), _told_apart(one, system)) for one in in_order],
        lines=[
            (str(run.id), f"{run.title or run.kind}, {format_length(length_of(run.points, run.rises), system)}")
            for run in may_be_followed(view.job, view.basis)
        ],
        follows=[str(one) for one in named_by(own.feature)],
        usual_watts=said(view.basis, "light-watts", WATTS),
    )


def _told_apart(light: Light, system: System) -> str:
    """A light by its name and where it stands: several may be called alike."""
    right, up = (format_length(one, system) for one in light.at)
    return f"{light.feature.title or 'A light'}, {right} right, {up} up"
