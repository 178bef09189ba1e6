"""The words of templates at the least cost: a sentence without figures is written into the compiled template.

`_("words")` would else be looked up, marked and formatted at every rendering, a hundred times a page; and whatever a
template calls is asked three times whether it wants the context, which only functions of the template language do.
"""

from collections.abc import Callable, Iterator
from types import FunctionType, MethodType
from typing import Any

from jinja2 import Environment
from jinja2.ext import Extension
from jinja2.lexer import Token, TokenStream
from jinja2.runtime import Context, Macro
from markupsafe import Markup

from app.documents.tongues import Tongue, tongue

CALLED = ("name", "lparen", "string", "rparen")  # how `_("words")` reads, token by token


class Words(Extension):
    """Sentences of one language: `_` and `ngettext` fill figures in, escaped; a sentence alone becomes text.

    `say` is for words that are data (of the library, of a list): they are escaped like any other value; `say_amount`
    for an amount as the formats write it, of which the unit is said.
    """

    language = "en"

    def __init__(self, environment: Environment) -> None:
        super().__init__(environment)
        said = self.said = _said_in(tongue(self.language))

        def counted(one: str, many: str, /, num: int, **figures: Any) -> Markup:
            return said(one if num == 1 else many, num=num, **figures)

        def plain(words: str, /) -> str:
            return spoken(words)

        spoken = tongue(self.language)
        environment.globals |= {"_": said, "gettext": said, "ngettext": counted}
        environment.globals |= {"say": plain, "say_amount": spoken.amount}
        environment.context_class = QuickContext

    def filter_stream(self, stream: TokenStream) -> Iterator[Token]:
        """The tokens of a template, each `_("words")` as what it says."""
        ahead: list[Token] = []
        for token in stream:
            ahead.append(token)
            if tuple(one.type for one in ahead) == CALLED and ahead[0].value == "_":
                yield from _constant(ahead[2].lineno, self.said(ahead[2].value))
                ahead.clear()
            while ahead and not _may_begin(ahead):
                yield ahead.pop(0)
        yield from ahead


def _may_begin(ahead: list[Token]) -> bool:
    return ahead[0].value == "_" and tuple(one.type for one in ahead) == CALLED[: len(ahead)]


def _constant(line: int, words: str) -> Iterator[Token]:
    """The tokens of `("words" | safe)`, which is worked out when the template is compiled."""
    told = [("lparen", "("), ("string", words), ("pipe", "|"), ("name", "safe"), ("rparen", ")")]
    return (Token(line, kind, value) for kind, value in told)


class SpanishWords(Words):
    """The same in Spanish."""

    language = "es"


WORDS = {one.language: f"{one.__module__}.{one.__qualname__}" for one in (Words, SpanishWords)}


def _said_in(spoken: Tongue) -> Callable[..., Markup]:
    def said(words: str, /, **figures: Any) -> Markup:
        # words of a template; figures are escaped as they are filled in
        return Markup(spoken(words)) % figures  # noqa: S704

    return said


class QuickContext(Context):
    """Calls methods, macros and plain functions at once."""

    def call(self, called: Any, /, *args: Any, **named: Any) -> Any:
        """What a template calls."""
        kind = type(called)
        if kind is MethodType or (kind is FunctionType and not hasattr(called, "jinja_pass_arg")):
            named.pop("_block_vars", None)
            named.pop("_loop_vars", None)
            return called(*args, **named)
        if kind is Macro:
            named.pop("_block_vars", None)
            named.pop("_loop_vars", None)
            return called(self.eval_ctx, *args, **named)
        return super().call(called, *args, **named)
