"""`{% kept values %}…{% endkept %}` in a template: markup kept with the values it is written from, in bounded memory.

For rows that most edits leave as they are. The block must rest on nothing but the values named in the tag (all of them
hashable) and on words of the template: no token, no change id, nothing of the request.
"""

from collections.abc import Callable, Hashable

from jinja2 import Environment, nodes
from jinja2.ext import Extension
from jinja2.parser import Parser
from markupsafe import Markup

from app.domain.keeping import BoundedCache

MOST = 8192  # blocks, of a kilobyte or less each


class KeptMarkup(Extension):
    """The tag; `written` blocks are held by the environment they belong to."""

    tags = {"kept"}  # noqa: RUF012 - as jinja2 declares it

    def __init__(self, environment: Environment) -> None:
        super().__init__(environment)
        self.written: BoundedCache[Hashable, Markup] = BoundedCache(MOST)

    def parse(self, parser: Parser) -> nodes.Node:
        """The tag as a call that is given the values, and the block to write where nothing is kept for them."""
        line = next(parser.stream).lineno
        values = [parser.parse_expression()]
        while parser.stream.skip_if("comma"):
            values.append(parser.parse_expression())
        block = parser.parse_statements(("name:endkept",), drop_needle=True)
        place = nodes.Const(f"{parser.name}:{line}")
        return nodes.CallBlock(self.call_method("write", [place, *values]), [], [], block).set_lineno(line)

    def write(self, place: str, *values: Hashable, caller: Callable[[], str]) -> Markup:
        """What the block says of these values: as written before, or written now."""
        return self.written.get_or_make((place, values), lambda: Markup(caller()))  # noqa: S704 - a template's block
