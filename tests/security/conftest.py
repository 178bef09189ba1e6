"""The browser of the web tests, here as well."""

from tests.web.conftest import web

__all__ = ["web"]
