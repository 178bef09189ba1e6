"""The demo's pictures of the yard before: drawn here, and said to be drawings."""

from collections.abc import Mapping
from datetime import timedelta
from typing import Any
from uuid import UUID

from app.services import photos
from app.services.office import Office
from seed_demo.drawings import DRAWN
from seed_demo.telling import order, today_of


async def add_pictures(office: Office, job_id: UUID, told: Mapping[str, Any]) -> None:
    """Add the pictures a job's file tells of, as somebody would who walked the yard with a phone."""
    for one in told.get("photo", ()):
        taken = today_of(office) + timedelta(days=one["taken"]["in_days"])
        values = {"when": "before", "caption": one["caption"], "place": one["place"], "taken": taken}
        await photos.add_photo(office, job_id, DRAWN[one["drawing"]](), values, order())
