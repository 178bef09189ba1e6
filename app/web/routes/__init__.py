"""Routes, one module a sheet. The general ones for things and works come last: a sheet's own ways go before them."""

from fastapi import APIRouter

from app.web.routes import (
    build,
    checks,
    client,
    copying,
    estimate,
    files,
    firm,
    history,
    home,
    library,
    palette,
    phases,
    plan,
    prices,
    proposal,
    show,
    site,
    things,
    why,
    works,
)

ROUTERS: tuple[APIRouter, ...] = (
    home.router,
    copying.router,
    client.router,
    site.router,
    firm.router,
    prices.router,
    library.router,
    build.router,
    files.router,
    plan.router,
    palette.router,
    checks.router,
    phases.router,
    proposal.router,
    show.router,
    estimate.router,
    why.router,
    history.router,
    works.router,
    things.router,
)
