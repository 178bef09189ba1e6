"""What the domain raises when it cannot compute. Every message is a sentence a contractor understands."""


class OutlayError(Exception):
    """Cannot compute: says what was given, what was understood, what to do.

    `field` names the input the sentence belongs beside, where there is one; `status` is what a web page answers.
    """

    status = 422

    def __init__(self, sentence: str, *, field: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field


class NotFound(OutlayError):
    """The thing asked for is not there (any more)."""

    status = 404


class BadValue(OutlayError):
    """A typed value cannot be understood or is out of range."""


class UnknownMaterial(OutlayError):
    """A material key that the basis does not hold."""


class UnknownAssembly(OutlayError):
    """An assembly key that the basis does not hold."""


class Stale(OutlayError):
    """Somebody has changed the same fields since they were read."""

    status = 409

    def __init__(self, sentence: str, *, theirs: dict[str, object], yours: dict[str, object]) -> None:
        super().__init__(sentence)
        self.theirs = theirs
        self.yours = yours
        self.version = 0  # of the thing as it now is, once that is known


class Refused(OutlayError):
    """The office's rules do not allow this now (signed, expired, not ready)."""

    status = 409
