"""What the worker can do: each task by name, with the function that does it and the words for it.

A task is a function `(payload, tell) -> bytes`: the payload is plain values and bytes, `tell(share, words)` reports
progress. Its module may have `get_ready()`, which loads the libraries of its tasks before a job is there.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import import_module
from typing import Any

from app.domain.errors import NotFound

Tell = Callable[[float, str], None]
TaskFunction = Callable[[Any, Tell], bytes]


@dataclass(frozen=True, slots=True)
class Task:
    """A task: where its function is (`module:function`) and what doing it is called in a sentence."""

    where: str
    doing: str


TASKS: Mapping[str, Task] = {
    "pdf": Task("app.documents.pdf:pdf_task", "Making the PDF"),
    "picture": Task("app.interchange.pictures:picture_task", "Reading the picture"),
    "small picture": Task("app.interchange.pictures:small_picture_task", "Reading the picture"),
    "patches": Task("app.interchange.picture_patches:patches_task", "Reading the picture"),
    "pages": Task("app.interchange.pictures:pages_task", "Reading the PDF"),
    "price list": Task("app.interchange.price_lists_in:list_task", "Reading the price list"),
    "book file": Task("app.interchange.price_book_out:book_task", "Writing the price book"),
    "start": Task("app.worker.start_search:start_task", "Looking for a start line"),
    "trials": Task("app.worker.trials:trials_task", "Drawing the range"),
    "fit": Task("app.worker.fitting:fit_task", "Looking for the best set"),
    "sun": Task("app.worker.sun_hours:sun_task", "Following the sun"),
    "phases": Task("app.worker.phase_plan:plan_task", "Planning the phases"),
    "what if": Task("app.interchange.what_if:what_if_task", "Working out what drives the price"),
    "past jobs": Task("app.interchange.past_in:past_task", "Reading signed jobs"),
    "papers": Task("app.interchange.papers_in:papers_task", "Reading signed papers"),
    "backup": Task("app.services.backup_folder:backup_task", "Making the backup"),
    "portable": Task("app.services.backup_folder:portable_task", "Writing the portable backup"),
    "passcode": Task("app.worker.passcodes:passcode_task", "Checking the passcode"),
    "signed copy": Task("app.documents.verifying:faults_task", "Looking at the signed pages"),
    "look at copy": Task("app.documents.verifying:look_task", "Looking at the copy"),
    "mail": Task("app.interchange.mail_out:mail_task", "Sending the mail"),
    "sign": Task("app.documents.signing:sign_task", "Making the signed copy"),
}


def task_named(name: str) -> Task:
    """A registered task by its name, or one by `module:function`.

    Raises: NotFound for any other name.
    """
    if name in TASKS:
        return TASKS[name]
    if ":" in name:
        return Task(name, "This work")
    raise NotFound(f"There is no work called “{name}”. Known: {', '.join(sorted(TASKS))}.")


def function_of(task: Task) -> TaskFunction:
    """Import a task's function."""
    module, _, function = task.where.partition(":")
    found: TaskFunction = getattr(import_module(module), function)
    return found


def get_ready(task: Task) -> None:
    """Load what a task will need, so that its job can start at once."""
    module = import_module(task.where.partition(":")[0])
    prepare = getattr(module, "get_ready", None)
    if prepare is not None:
        prepare()
