"""The print stylesheet with its fonts inside it: nothing is fetched while a PDF is made."""

import re
from base64 import b64encode
from functools import lru_cache
from pathlib import Path

from app.config import Settings

KINDS = {".woff2": "font/woff2", ".woff": "font/woff", ".ttf": "font/ttf", ".otf": "font/otf", ".svg": "image/svg+xml"}
URL = re.compile(r"""url\(\s*(["']?)(?!data:)([^"')]+)\1\s*\)""")
# What the bundler leaves of a font format it was told to drop; one such address would spoil the whole rule.
EMPTY_URL = re.compile(r""",\s*url\(\s*(?:""|'')?\s*\)(?:\s*format\([^)]*\))?""")

# Stands in where the bundled stylesheet was not built: readable, in the page's own ink, with the system's fonts.
PLAIN = """
@page { margin: .75in .75in .95in; @bottom-right {
  content: "page " counter(page) " of " counter(pages); font: 8.5pt sans-serif; color: #5b655d } }
body { font: 10.5pt/1.45 sans-serif; color: #1d2a26; margin: 0 }
h1, h2, h3 { font-family: serif; line-height: 1.15 }
table { width: 100%; border-collapse: collapse }
th, td { text-align: left; padding: 4pt 0; border-bottom: .5pt solid #cfc7b2; vertical-align: top }
"""


@lru_cache(maxsize=4)
def print_stylesheet(static: Path | None = None) -> str:
    """The bundled print stylesheet, each font and picture in it as a data address; a plain one where none was built."""
    built = (static or Settings().static) / "built"
    bundled = built / "print.css"
    return embedded(bundled.read_text("utf-8"), built) if bundled.is_file() else PLAIN


def embedded(css: str, folder: Path) -> str:
    """Put the files that a stylesheet names, all below `folder`, into the stylesheet itself.

    An address that leads elsewhere, or to a file that is not there, is left as it is: the printer refuses it.
    """
    home = folder.resolve()

    def as_data(found: re.Match[str]) -> str:
        file = (home / found[2]).resolve()
        if not file.is_relative_to(home) or not file.is_file() or file.suffix not in KINDS:
            return found[0]
        return f"url(data:{KINDS[file.suffix]};base64,{b64encode(file.read_bytes()).decode()})"

    return URL.sub(as_data, EMPTY_URL.sub("", css))
