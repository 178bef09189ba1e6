"""`{% kept values %}…{% endkept %}` in a template: markup kept with the values it is written from, in bounded memory.

For rows that most edits leave as they are. The block must rest on nothing but the values named in the tag (all of them
hashable) and on words of the template: no token, no change id, nothing of the request.
"""

from collections.abc import Hashable

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

    def parse(self, parser: Parser) -> list[nodes.Node]:
        """The tag as a look for what was written of these values, and the block where nothing was."""
        line = next(parser.stream).lineno
        values = [parser.parse_expression()]
        while parser.stream.skip_if("comma"):
            values.append(parser.parse_expression())
        block = parser.parse_statements(("name:endkept",), drop_needle=True)
        place, found = nodes.Const(f"{parser.name}:{line}"), parser.free_identifier(line)
        keep = nodes.ExprStmt(self.call_method("keep", [found, place, *values]))
        made: list[nodes.Node] = [
            nodes.Assign(found, self.call_method("find", [place, *values])),
            nodes.If(nodes.Not(found), [nodes.AssignBlock(found, None, block), keep], [], []),
            nodes.Output([found]),
        ]
        return [node.set_lineno(line) for node in made]

    def find(self, *of: Hashable) -> Markup | None:
        """What was written of these values; None where nothing was."""
        return self.written.get(of)

    def keep(self, markup: Markup, *of: Hashable) -> None:
        """Keep what was just written."""
        self.written.keep(of, markup)
