"""At a fresh start nothing of this machine is open to another one: every port is tried from another network namespace.

The laptop and the tablet are two namespaces on one wire, made here and taken down again (`tests/two_machines.py`).
"""

import tempfile
from pathlib import Path

from bars import Figure
from tests.two_machines import heard_on_udp, laptop_serving, open_ports


def measure(few: bool) -> tuple[Figure, ...]:  # noqa: ARG001 - there is one way to count
    """How many ports answer another machine at a fresh start."""
    with tempfile.TemporaryDirectory() as folder, laptop_serving(Path(folder) / "data") as wire:
        answering = wire.tablet.do(open_ports)
        heard = wire.laptop.do(heard_on_udp)
    note = "all 65,535 TCP ports tried from another namespace; UDP as the kernel lists it"
    return (
        Figure(
            what="ports open from another machine at a fresh start", value=len(answering + heard), limit=0, note=note
        ),
    )
