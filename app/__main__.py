"""The command line: `python -m app …`, installed as `outlay …`. The commands are in `app.commands`."""

import sys
from collections.abc import Sequence

from app.commands.parser import parser
from app.domain.errors import OutlayError


def main(words: Sequence[str] | None = None) -> int:
    """Run one command; a refusal is one sentence on the error stream and exit code 2."""
    args = parser().parse_args(words)
    try:
        return int(args.run(args) or 0)
    except OutlayError as wrong:
        print(wrong.sentence, file=sys.stderr)
        return 2


if __name__ == "__main__":
    raise SystemExit(main())
