"""What the forms after building may send: a test signed, a punch item, hand-over, closing, warranty, permission."""

from app.domain.job import NOT_PASSED, PASSED
from app.web.forms.fields import choice, day, text, yes

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
CLOSE = (text("by", "Closed by", most=MOST_NAME), text("reason", "Why all the same", most=MOST_WORDS))
