"""Where things lie and how the program is set: read once from the environment, nothing else reads it."""

import os
import secrets
from dataclasses import dataclass, field
from pathlib import Path

SERVER = "database"  # the file of the data folder that says where else its database is
HERE = Path(__file__).resolve().parent


def _shipped(name: str) -> Path:
    """A folder of ours: inside the installed package, or beside it in a checkout."""
    inside = HERE / "_shipped" / name
    return inside if inside.is_dir() else HERE.parent / name


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """All settings, with safe defaults: loopback only, data in `data/` below the working folder."""

    data: Path = field(default_factory=lambda: Path(os.environ.get("OUTLAY_DATA", "data")).absolute())
    host: str = "127.0.0.1"
    port: int = 8137
    templates: Path = field(default_factory=lambda: _shipped("templates"))
    static: Path = field(default_factory=lambda: _shipped("static"))
    migrations: Path = field(default_factory=lambda: _shipped("migrations"))
    library: Path = HERE / "library"

    @property
    def database(self) -> Path:
        """The SQLite file."""
        return self.data / "outlay.db"

    @property
    def server(self) -> str:
        """The address of the PostgreSQL database the data lies in (`postgresql://…`); empty: in the SQLite file.

        It is the one line of the file `database` in the data folder, so that whoever opens the folder finds the same.
        """
        try:
            return (self.data / SERVER).read_text(encoding="utf-8").strip()
        except (FileNotFoundError, NotADirectoryError):
            return ""

    @property
    def holds_data(self) -> bool:
        """Whether there is data already, as far as can be told without opening it."""
        return bool(self.server) or self.database.exists()

    @property
    def files(self) -> Path:
        """Files by the hash of their content."""
        return self.data / "files"

    @property
    def small(self) -> Path:
        """Small pictures, made again when they are gone."""
        return self.data / "small"

    def secret(self) -> bytes:
        """The key this data folder signs its tokens with; made at first use, readable by its owner only."""
        kept = _SECRETS.get(self.data)
        if kept is None:
            path = self.data / "secret"
            if not path.exists():
                self.data.mkdir(parents=True, exist_ok=True)
                with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
                    file.write(secrets.token_bytes(32))
            kept = _SECRETS[self.data] = path.read_bytes()
        return kept


_SECRETS: dict[Path, bytes] = {}
