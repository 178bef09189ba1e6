"""What is refused is logged: why, where, over what, to which device. Never what was sent, nor the address as sent."""

import logging

from starlette.types import Scope

from app.domain.devices import Device
from app.web.reached import over_of

log = logging.getLogger("outlay")
OTHER_FACE = 303
WHY = {
    OTHER_FACE: "another face's page",
    401: "shut out, or not seen for long",
    403: "not paired, or not from a page of ours",
    413: "too large",
    421: "not our name",
    429: "too many tries",
}


def note(scope: Scope, status: int) -> None:
    """Log a refusal by its status; what is answered otherwise is none."""
    if status in WHY:
        device: Device | None = scope.get("state", {}).get("device")
        told = {
            "why": WHY[status],
            "status": status,
            "at": getattr(scope.get("route"), "path", ""),
            "over": over_of(scope).value,
            "device": str(device.id) if device else "",
        }
        log.warning("refused", extra=told)
