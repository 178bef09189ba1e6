"""What a job's stage says by itself: how its drawings stand, and what comes next while nobody typed it."""

from collections.abc import Mapping

from app.domain.job.kinds import Stage

STANDS_AS: Mapping[Stage, str] = {
    Stage.LEAD: "draft",
    Stage.DESIGN: "draft",
    Stage.OFFERED: "offered",
    Stage.SIGNED: "signed",
    Stage.BUILDING: "signed, being built",
    Stage.DONE: "closed",
    Stage.LOST: "went elsewhere",
}
COMES_NEXT: Mapping[Stage, str] = {
    Stage.LEAD: "Visit and measure",
    Stage.DESIGN: "Finish the plan and offer it",
    Stage.OFFERED: "Ask for their answer",
    Stage.SIGNED: "Order and set the first day",
    Stage.BUILDING: "Build, log the day, invoice",
    Stage.DONE: "",
    Stage.LOST: "",
}
_OF_THEMSELVES = frozenset(COMES_NEXT.values())


def comes_next(stage: Stage, typed: str) -> str:
    """What comes next: what somebody typed, else what the stage says. A step of another stage is over.

    >>> comes_next(Stage.SIGNED, "Visit and measure")
    'Order and set the first day'
    >>> comes_next(Stage.SIGNED, "Call the mason")
    'Call the mason'
    """
    return COMES_NEXT[stage] if typed.strip() in _OF_THEMSELVES else typed
