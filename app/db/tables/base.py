"""The metadata with its naming convention, and the one column type that plain values need."""

from typing import Any

import msgspec
from sqlalchemy import Dialect, MetaData, Text
from sqlalchemy.types import TypeDecorator

from app.domain.codec import canonical_bytes

METADATA = MetaData(
    naming_convention={
        "ix": "ix_%(column_0_label)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)


class Plain(TypeDecorator[Any]):
    """A composite value as canonical JSON text: the same on every database."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> str | None:  # noqa: ARG002
        """Write."""
        return None if value is None else canonical_bytes(value).decode()

    def process_result_value(self, value: str | None, dialect: Dialect) -> Any:  # noqa: ARG002
        """Read."""
        return None if value is None else msgspec.json.decode(value)
