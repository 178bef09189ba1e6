"""A part of a sheet that the worker works out while the sheet stands: looked at as it goes on, stopped, begun again."""

from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from fastapi import Request
from fastapi.responses import Response

from app.services import under_way
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.web.rendering import go, page, wants_fragment

Told = Callable[[float, str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Aside:
    """Such a part: its name, the sheet it stands on (the address behind the job's), what works it out, what shows it.

    `known` is what its template is given beside the job, its estimate and how far the work is (`drawing`).
    """

    name: str
    on: str
    template: str
    work: Callable[[Office, Sheet, Told], Awaitable[object]]
    known: Callable[[Office, Sheet], Mapping[str, Any]]

    async def look(self, request: Request, office: Office, job_id: UUID, again: bool) -> Response:
        """Worked out, or how far that is: the part for htmx, else the sheet once it is."""
        view, part = sheet(office, job_id), wants_fragment(request)
        if again:
            under_way.again(office, (self.name, job_id))
        await under_way.look(
            office,
            (self.name, job_id),
            view.estimate,
            lambda told: self.work(office, view, told),
            wait=under_way.WAIT if part else None,
        )
        return self._answer(request, office, view)

    async def stop(self, request: Request, office: Office, job_id: UUID) -> Response:
        """Stopped; it begins again when it is asked for."""
        under_way.stop(office, (self.name, job_id))
        return self._answer(request, office, sheet(office, job_id))

    def given(self, office: Office, view: Sheet) -> dict[str, Any]:
        """What the sheet's own template is given of it."""
        state = under_way.now(office, (self.name, view.job.head.id), view.estimate)
        return {**self.known(office, view), "drawing": state}

    def _answer(self, request: Request, office: Office, view: Sheet) -> Response:
        if not wants_fragment(request):
            return go(request, f"/jobs/{view.job.head.id}/{self.on}")
        return page(request, self.template, {"job": view.job, "estimate": view.estimate, **self.given(office, view)})
