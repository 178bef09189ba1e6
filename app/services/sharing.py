"""Under what name and ports a data folder is shared: chosen at the first sharing, the same from then on."""

import json

from app.db.key_folder import KeyFolder
from app.domain.sharing import FIRST_PORT, PORTS_TRIED, SharedName, label_of
from app.services.networks import is_free
from app.services.office import Office

KEPT = "shared-as.json"
FOLDER = "keys"


def shared_name(office: Office) -> SharedName:
    """The name and ports of this data folder."""
    folder = KeyFolder(office.settings.data / FOLDER)
    kept = _read(folder.read(KEPT))
    if kept is None:
        label = label_of(office.firm().name)
        secure, plain = _free_ports()
        kept = SharedName(name=f"{label}.local", secure_port=secure, plain_port=plain)
        folder.write(KEPT, json.dumps([kept.name, kept.secure_port, kept.plain_port]).encode())
    return kept


def _free_ports() -> tuple[int, int]:
    free = [port for port in range(FIRST_PORT, FIRST_PORT + PORTS_TRIED) if is_free("127.0.0.1", port)]
    first, second, *_ = [*free, FIRST_PORT, FIRST_PORT + 1]  # none free: said when it is switched on
    return first, second


def _read(content: bytes | None) -> SharedName | None:
    try:
        name, secure, plain = json.loads(content or b"")
        return SharedName(name=str(name), secure_port=int(secure), plain_port=int(plain))
    except (ValueError, TypeError):
        return None  # not there, or torn: chosen anew
