"""What is known of private lines below a yard: what was answered, and what stands on the list of what is there."""

from collections.abc import Mapping, Sequence

from app.domain.job.kinds import PRIVATE_LINES, SPRINKLERS, VALVE, Answer
from app.domain.job.site import Existing, Site


def known_lines(site: Site, existing: Sequence[Existing]) -> Mapping[str, Answer]:
    """The answer for every kind of private line: sprinklers that are listed as being there are known, unasked.

    >>> from uuid import UUID
    >>> site, head = Site(id=UUID(int=1)), Existing(id=UUID(int=2), kind="sprinklers")
    >>> known_lines(site, (head,))["sprinklers"].value
    'yes'
    """
    listed = any(one.kind in {SPRINKLERS, VALVE} for one in existing)
    found = {key: site.private_lines.get(key, Answer.UNKNOWN) for key in PRIVATE_LINES}
    return {**found, SPRINKLERS: Answer.YES} if listed else found
