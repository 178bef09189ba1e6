"""What jobs taught, of hours or of what is lost: lessons taken and not taken, and what was shown of them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from app.db.repositories.looking_back import JobName
from app.domain.errors import Refused
from app.services.book import Own


class Lesson(Protocol):
    """What jobs make of one thing of the firm; `mark` names what was shown of it."""

    @property
    def taken(self) -> bool:
        """Whether it stands already."""

    @property
    def mark(self) -> str:
        """By what a form says what it was shown."""


L = TypeVar("L", bound=Lesson)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lessons(Generic[L]):
    """All that jobs taught of one kind, with what the jobs are called and the versions of the firm's own things."""

    lessons: tuple[L, ...]
    names: Mapping[str, JobName]
    own: Own

    @property
    def new(self) -> tuple[L, ...]:
        """What is not taken yet."""
        return tuple(one for one in self.lessons if not one.taken)

    @property
    def taken(self) -> tuple[L, ...]:
        """What stands already."""
        return tuple(one for one in self.lessons if one.taken)

    def name(self, job_id: str, number: int = 0) -> str:
        """What a job is called; one that is gone by its number, where that is known."""
        known = self.names.get(job_id)
        return known.words if known else f"job {number}" if number else "a job that is gone"


def refuse_other(lesson: Lesson, title: str, mark: str) -> None:
    """Raises: Refused where jobs say something else by now than what was shown."""
    if lesson.mark != mark:
        raise Refused(f"{title}: jobs say something else by now than what was shown. Nothing was changed; look again.")
