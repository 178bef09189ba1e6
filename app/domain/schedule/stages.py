"""The stages in which a place is built, in their order, and which task belongs to which of them."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from app.domain.basis import TRADES, Assembly

READY, START, CLEAR, LINES, BACKFILL, BASE, POUR, SURFACE, PLANTING, CLOSE = (
    "ready",
    "start",
    "clear",
    "lines",
    "backfill",
    "base",
    "pour",
    "surface",
    "planting",
    "close",
)
CURE = "cure"  # the step that is waiting and no work
CLOSED = "backfill"  # the step in which a trench is closed: what stands before it in a recipe lies open until then
BEHIND = frozenset({CURE, CLOSED})  # steps in which nothing of a recipe is put in
WET = frozenset({"pour", "footing"})  # steps that leave something to cure where a recipe does not say which


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """A stage of building: the steps of recipes in it, and tasks and roles that are in it whatever the recipe.

    `formerly` are stages of older releases in which what is inspected here stood.
    """

    key: str
    title: str
    steps: tuple[str, ...] = ()
    tasks: tuple[str, ...] = ()
    roles: tuple[str, ...] = ()
    outdoors: bool = True
    formerly: tuple[str, ...] = ()


class Stages:
    """The stages in their order, to look up."""

    __slots__ = ("_guides", "_of_role", "_of_step", "_of_task", "by_key", "rank")

    def __init__(self, stages: Iterable[Stage], *, guides: Iterable[str] = ()) -> None:
        """`guides` are the tasks of our crew that go with the hired trade, at whatever stage it comes."""
        self._guides = frozenset(guides)
        self.by_key: Mapping[str, Stage] = {one.key: one for one in stages}
        self.rank: Mapping[str, int] = {key: at for at, key in enumerate(self.by_key)}
        self._of_step = {step: one.key for one in self.by_key.values() for step in one.steps}
        self._of_role = {role: one.key for one in self.by_key.values() for role in one.roles}
        self._of_task = {task: one.key for one in self.by_key.values() for task in one.tasks}

    def of_task(self, task: str, recipe: Assembly | None) -> str:
        """The stage a task is done in: its own, else that of the last step of its recipe, else the surface's.

        >>> stages = Stages([Stage(key="dig", title="Dig", steps=("excavate",)), Stage(key="surface", title="Lay")])
        >>> stages.of_task("shovel", None)
        'surface'
        """
        if recipe is None:
            return self._of_task.get(task, SURFACE)
        return self._of_task.get(task) or (self.of_trade(recipe) if task in self._guides else self.last(recipe))

    def of_role(self, role: str, recipe: Assembly) -> str:
        """The stage in which a material is wanted: that of its role, else that of the last step of its recipe."""
        return self._of_role.get(role) or self.last(recipe)

    def of_hired(self, role: str, recipe: Assembly) -> str:
        """The stage of what a hired trade does or brings: that of its role, else that at which the trade comes."""
        return self._of_role.get(role) or self.of_trade(recipe)

    def of_trade(self, recipe: Assembly) -> str:
        """The stage at which the hired trade of a recipe comes: where its order says so, else with its last step."""
        return self.of_step_in(TRADES, recipe) or self.last(recipe)

    def follows_us(self, recipe: Assembly) -> bool:
        """Whether the trade comes once our crew is through with the stage: the step before is in it, none behind is."""
        before, behind = self._around_trade(recipe.build.order)
        own = self.of_trade(recipe)
        return before[-1:] == [own] and own not in behind

    def of_step_in(self, step: str, recipe: Assembly) -> str:
        """The stage of a step in the order of a recipe; empty for one that is none's, or not in it."""
        return dict(self.in_order(recipe.build.order)).get(step, "")

    def _around_trade(self, order: Sequence[str]) -> tuple[list[str], list[str]]:
        """The stages of the steps before the trade comes, and of those behind; both empty where no order says it."""
        if TRADES not in order:
            return [], []
        at = order.index(TRADES)
        found = list(self.in_order(order))
        return [one for _, one in found[:at]], [one for _, one in found[at + 1 :]]

    def of_step(self, step: str) -> str:
        """The stage of a step of building; empty for one that is none's."""
        return self._of_step.get(step, "")

    def last(self, recipe: Assembly) -> str:
        """The stage of the last step in which something of a recipe is put in; the surface's where it names none."""
        known = [one for step, one in self.in_order(recipe.build.order) if one and step not in BEHIND]
        return max(known, key=lambda key: self.rank[key], default=SURFACE)

    def in_order(self, order: Sequence[str]) -> Iterator[tuple[str, str]]:
        """Each step of a recipe's order with its stage (empty for one that is none's).

        What stands before the trench is closed is done while it is open: a gas line is the fitter's work in the
        trench, and not when appliances are set. A trade comes before what stands behind it: whoever bonds the
        steel of a pad comes once it is tied, before the pour.
        """
        open_until = order.index(CLOSED) if CLOSED in order else 0
        before = ""
        for at, step in enumerate(order):
            stage = self.of_step(step)
            behind = [self.rank.get(self.of_step(one), 0) for one in order[at + 1 :] if one not in BEHIND]
            if at < open_until and LINES in self.rank and self.rank.get(stage, 0) > self.rank[LINES]:
                stage = LINES
            elif step == TRADES and before and min(behind, default=len(self.rank)) < self.rank.get(stage, 0):
                stage = before
            yield step, stage
            before = stage

    def curing(self, recipe: Assembly) -> str:
        """The stage after which it cures: what comes before its step of cure, else its pour, else its last."""
        order = recipe.build.order
        if CURE in order and order.index(CURE):
            return self._of_step.get(order[order.index(CURE) - 1], SURFACE)
        return POUR if WET & set(order) else self.last(recipe)
