"""What is easily forgotten, as data: a question, what of a job asks it, what prices it."""

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Signs:
    """What of a job shows something: any one of these is enough."""

    recipes: tuple[str, ...] = ()
    roles: tuple[str, ...] = ()
    tasks: tuple[str, ...] = ()
    materials: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    existing: tuple[str, ...] = ()  # kinds of things that stand in the yard and stay
    facts: tuple[str, ...] = ()  # what the job says about itself: association, sprinklers, road


@dataclass(frozen=True, slots=True, kw_only=True)
class Reminder:
    """A thing that is easily forgotten: a question to each job where it may apply (`asked_by`; empty: to all).

    `priced_by` shows it in the price, `adds` is a recipe, `exclusion` says in the client's words what the client does.
    """

    key: str
    title: str
    question: str
    group: str = ""
    asked_by: Signs = field(default_factory=Signs)
    priced_by: Signs = field(default_factory=Signs)
    adds: str = ""
    exclusion: str = ""
    why: str = ""
    source: str = ""
    left_out: str = ""  # why the firm does not ask it; empty: it is asked
    own_reason: str = ""  # why the firm asks it, or words it in its own way
