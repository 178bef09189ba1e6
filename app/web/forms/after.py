"""What the forms after building may send: a test signed, a punch item, hand-over, closing, warranty, permission."""

from dataclasses import replace

from app.domain.job import CAUSES, NOT_PASSED, PASSED
from app.web.forms.fields import choice, count, day, length, money, text, things, yes
from app.web.forms.log import quarters

MOST_NAME, MOST_WORDS, MOST_KEY = 80, 500, 120
TEST = text("test", "Test", required=True, most=MOST_KEY)
NAME = text("name", "Signed by", most=MOST_NAME)
WORDS = text("words", "Note", most=MOST_WORDS)
RESULT = (
    TEST,
    day("day", "Day", required=True),
    text("values", "Measured", most=400),
    choice("passed", "Passed", [PASSED, NOT_PASSED]),
    NAME,
    text("license", "License", most=MOST_NAME),
    WORDS,
)
LEFT_OUT = (TEST, NAME, WORDS)
PUNCH = (
    text("what", "What is to be done", most=300),
    text("zone", "Zone", most=MOST_KEY),
    text("who", "Who does it", most=MOST_NAME),
    day("due", "By when"),
)
DONE = (text("who", "Done by", most=MOST_NAME), day("day", "Done on"))
ACCEPTED = (text("words", "The client's words", most=300),)
HAND_OVER = (
    day("day", "Handed over on", required=True),
    text("by", "Who walked it with the client", most=MOST_NAME),
    WORDS,
    yes("last_draw", "The last payment is reached"),
)
COMPLETION = (text("client", "Who signed for the client", required=True, most=MOST_NAME),)
CLOSE = (text("by", "Closed by", most=MOST_NAME), text("reason", "Why all the same", most=MOST_WORDS))
NOTE = (
    text("thing", "What it is about", required=True, most=MOST_KEY),
    day("day", "Day", required=True),
    length("depth", "Depth to its top"),
    text("material", "Material", most=MOST_KEY),
    text("batch", "Batch", most=MOST_NAME),
    WORDS,
)
CALL = (
    day("day", "Day of the call", required=True),
    text("what", "What is wrong", most=300),
    text("zone", "Zone", most=MOST_KEY),
    text("assembly", "What it was built as", most=MOST_KEY),
    choice("cause", "What it comes from", list(CAUSES), empty="ours"),
    text("crew", "Who built it", most=200),
    text("subcontractor", "Subcontractor", most=MOST_KEY),
    text("batch", "Batch", most=MOST_NAME),
    count("visit", "Seen at the visit", most=3650, empty=0),
    yes("covered", "The firm bears it"),
    WORDS,
)
ASKED = (
    choice("kind", "Which is it", ["call", "question"], empty="call"),
    text("what", "In your words", most=300),
    text("zone", "Where in the yard", most=MOST_KEY),
    count("visit", "When we look at it", most=3650, empty=0),
)
ANSWERED = (text("answer", "Answer", required=True, most=1_000), yes("settles", "That settles it"))
SETTLED = (
    replace(quarters("quarters", "Hours"), required=False, empty=0),
    money("cents", "Bought or paid", empty=0),
    day("done_on", "Done on"),
    yes("covered", "The firm bears it"),
    WORDS,
)
VISIT = (day("day", "Day"), day("done_on", "Made on"), WORDS)
PERMISSION = (
    day("day", "Day", required=True),
    text("given_by", "Who gave it", most=MOST_NAME),
    text("words", "What it is called", most=120),
    things("photo_ids", "Pictures"),
    yes("with_price", "A rounded price band"),
    yes("with_town", "The town"),
)
WITHDRAWN = (text("why", "Who withdrew it", most=300),)
