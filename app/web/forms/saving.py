"""A form saved: the one place where a service's refusal goes back beside its field instead of up."""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

from app.db.disk import DiskTrouble
from app.domain.errors import OutlayError, Stale
from app.web.forms.fields import Parsed

T = TypeVar("T")


class Sparse(dict[str, str]):
    """Texts by field name; None for a field that has none."""

    def __missing__(self, name: str) -> None:
        return None


@dataclass(frozen=True, slots=True)
class Saved(Generic[T]):
    """What became of a form: the service's answer, or the form with the sentences that say why not."""

    form: Parsed
    result: T | None = None
    stale: Stale | None = None

    @property
    def ok(self) -> bool:
        """Whether it was saved."""
        return self.form.ok and self.stale is None

    @property
    def errors(self) -> Sparse:
        """The sentences beside the fields."""
        return Sparse(self.form.errors)

    @property
    def typed(self) -> Sparse:
        """What was typed and is not saved: shown again as it was. Nothing once it is saved."""
        return Sparse() if self.ok else Sparse(self.form.typed)

    @property
    def status(self) -> int:
        """The status of the answer."""
        return 409 if self.stale else self.form.status


def save_form(form: Parsed, action: Callable[[], T]) -> Saved[T]:
    """Run the action when the form was understood; a refusal about typed values becomes part of the form."""
    if not form.ok:
        return Saved(form)
    try:
        return Saved(form, action())
    except Stale as stale:
        return Saved(form, stale=stale)
    except OutlayError as wrong:
        if wrong.status not in {409, 422}:
            raise
        return Saved(form.refused(wrong))


async def save_form_async(form: Parsed, action: Callable[[], Awaitable[T]]) -> Saved[T]:
    """As `save_form`, for an action that waits for the worker."""
    if not form.ok:
        return Saved(form)
    try:
        return Saved(form, await action())
    except Stale as stale:
        return Saved(form, stale=stale)
    except DiskTrouble:  # not about what was typed: said for the whole request, which can be sent again
        raise
    except OutlayError as wrong:
        if wrong.status not in {409, 422, 503}:
            raise
        return Saved(form.refused(wrong))
