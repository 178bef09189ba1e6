"""The command line: `python -m app …`, installed as `outlay …`."""


def main() -> int:
    """Run one command."""
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
