"""The forms of tape and level: a mark with its first tapes, one more tape, a rod reading, a setup, the baseline."""

from app.domain.plan.tolerances import KINDS
from app.web.forms.fields import choice, length, no_more, text, thing, yes

SIDES = ("left", "right")
MARK = (
    text("title", "Name", required=True, most=60),
    length("x", "Right of the datum", signed=True),
    length("y", "Up from the datum", signed=True),
    choice("side", "Side", SIDES),
    length("level", "Level", signed=True),
    yes("on_ground", "Its level is the ground's"),
)
NEW_MARK = (
    *MARK,
    *(
        field
        for number in ("1", "2", "3")
        for field in (thing(f"from_{number}", "Taped from"), length(f"length_{number}", "Tape"))
    ),
    thing("setup_id", "Rod read from"),
    length("reading", "Rod"),
)
NEW_TAPE = (thing("from_id", "Taped from", required=True), length("length", "Tape", required=True))
TAPE = (length("length", "Tape"), choice("does", "What happens to the tape", ("leave-out", "use", "take-off")))
ROD = (thing("mark_id", "Mark", required=True), length("reading", "Rod", signed=True))
SETUP = (
    text("title", "Name", most=40),
    thing("benchmark_id", "Looked back to"),
    length("backsight", "Rod there", signed=True),
)
BASELINE = (thing("start_id", "From"), thing("end_id", "To"))
MOST_OFF = 0.25  # ft: a tape that is further off tells nothing
TAPES = (choice("tape_kind", "Taped with", KINDS), no_more("tape_within", "Off by", MOST_OFF))
