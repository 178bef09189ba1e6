"""Chromium on one of two machines on a wire."""

from pathlib import Path

from playwright.sync_api import Browser, Playwright

from tests.browser.conftest import CHROMIUM, QUIET
from tests.two_machines import LAPTOP, Machine


def browser_on(machine: Machine, playwright: Playwright, folder: Path, name: str) -> Browser:
    """Chromium on a machine. The shared name leads to the laptop, as its system finds it by multicast DNS (which is
    held in tests/commands/test_two_machines.py)."""
    known = f"--host-resolver-rules=MAP {name} {LAPTOP}"
    return playwright.chromium.launch(executable_path=machine.program(folder, CHROMIUM or ""), args=[*QUIET, known])
