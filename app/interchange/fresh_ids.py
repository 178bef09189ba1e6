"""A job under other ids: so that one that came in a file stands beside the one it was taken from."""

import re
from uuid import UUID, uuid5

import msgspec

from app.domain.codec import canonical_bytes, from_plain, to_plain
from app.domain.job import JOB_THINGS, Job

ID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")


def with_fresh_ids(job: Job, seed: UUID) -> Job:
    """The same job with every thing's id replaced wherever it stands, also within texts (places, neighbors).

    The same seed gives the same ids, so that bringing a file in twice by one press makes one job.
    """
    fresh = {str(one): str(uuid5(seed, str(one))) for one in _ids(job)}
    text = canonical_bytes(to_plain(job)).decode()
    return from_plain(msgspec.json.decode(ID.sub(lambda found: fresh.get(found[0], found[0]), text)), Job)


def _ids(job: Job) -> list[UUID]:
    held = [getattr(job, place) for _, place in JOB_THINGS.values()]
    return [thing.id for one in held for thing in (one if isinstance(one, tuple) else (one,))]
