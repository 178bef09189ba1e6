"""Consent to an electronic record before it is signed, and the word that shows its pages can be opened.

What a consumer is told first, and that they consent in a way which shows they can open the file: 15 U.S.C. 7001(c)(1).
The sentences are ours. Who does not consent signs on paper. Not legal advice.
"""

from hashlib import sha256

EDITION = "2026-11"  # of the sentences below: what somebody consented to is on record by it
SOURCE = "15 U.S.C. 7001(c)(1)"

WORDS = [
    "acorn",
    "alder",
    "amber",
    "anchor",
    "apple",
    "apron",
    "arbor",
    "aspen",
    "autumn",
    "badger",
    "barley",
    "basket",
    "beech",
    "berry",
    "birch",
    "bramble",
    "bridge",
    "brook",
    "butter",
    "candle",
    "carrot",
    "cedar",
    "cherry",
    "clay",
    "clover",
    "copper",
    "cotton",
    "cricket",
    "daisy",
    "ember",
    "fern",
    "finch",
    "flint",
    "garden",
    "garnet",
    "ginger",
    "gravel",
    "harbor",
    "hazel",
    "heron",
    "hollow",
    "honey",
    "indigo",
    "ivory",
    "juniper",
    "kettle",
    "lantern",
    "lilac",
    "linden",
    "maple",
    "meadow",
    "mint",
    "moss",
    "nettle",
    "olive",
    "orchard",
    "otter",
    "pebble",
    "pepper",
    "plum",
    "poppy",
    "quarry",
    "raven",
    "river",
    "robin",
    "saddle",
    "sage",
    "slate",
    "sorrel",
    "sparrow",
    "spruce",
    "thistle",
    "thyme",
    "timber",
    "tulip",
    "velvet",
    "violet",
    "walnut",
    "willow",
    "winter",
]


def word_of(revision_id: str) -> str:
    """The word that the pages of a revision print; another revision most often has another.

    It keeps nothing secret: who can read it has opened the file, and that is all it shows.

    >>> word_of("3049f208-e001-4149-91ef-475c8ef176f6") in WORDS
    True
    """
    return WORDS[int.from_bytes(sha256(f"word of {revision_id}".encode()).digest()[:4], "big") % len(WORDS)]


def is_word(typed: str, wanted: str) -> bool:
    """Whether what was typed is the word, whatever its case and what stands around it.

    >>> is_word(" “Linden”. ", "linden"), is_word("lindens", "linden"), is_word("", "linden")
    (True, False, False)
    """
    return "".join(letter for letter in typed.lower() if letter.isalnum()) == wanted.lower()


def consent_terms(what: str, firm: str, contact: str) -> tuple[str, ...]:
    """What somebody is told first; `what` is the paper (`proposal 2`), `contact` how the firm is reached."""
    reach = f"{firm} ({contact})" if contact else firm
    return (
        f"You may have {what} and all that goes with it on paper, and sign it on paper. It costs nothing: say so now.",
        f"Your consent covers {what}, the notices that go with it, and its signed copy. It covers nothing else.",
        f"You may take it back at any time, free of charge: tell {reach}. Then you get paper; what is signed stays so.",
        f"When your address for electronic mail changes, tell {reach}.",
        "To read and keep it you need a device that shows PDF files, and room to keep or a way to print one.",
        f"A paper copy of what you signed is yours whenever you ask {reach} for it, free of charge.",
    )
