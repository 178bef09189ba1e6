"""Pages over all jobs (firm, price book, library): whole, or their part for htmx; with the firm's own undo."""

from collections.abc import Mapping
from typing import Any

from fastapi import Request
from fastapi.responses import Response

from app.services import jobs
from app.services.office import Office
from app.web.forms.saving import Saved
from app.web.rendering import answer, wants_fragment
from app.web.sheet_pages import NOTHING_SENT
from app.web.stale import Versioned, again_of


def leaf(
    request: Request,
    office: Office,
    template: str,
    context: Mapping[str, Any],
    *,
    versions: Versioned,
    back: str,
    saved: Saved[Any] = NOTHING_SENT,
) -> Response:
    """A page of the firm as the answer; a plain form that was saved is sent on to `back`."""
    values = {
        "saved": saved,
        "nothing": NOTHING_SENT,
        "view": versions,
        "undo": jobs.undo_words(office, None),
        "again": again_of(request, versions, saved, back=back),
        "back": back,
        "layout": "leaf_part.html" if wants_fragment(request) else "leaf.html",
        **context,
    }
    return answer(request, values, whole=template, part=template, status=saved.status, then=back)
