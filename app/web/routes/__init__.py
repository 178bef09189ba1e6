"""Routes, one module a sheet. The general ones for things and works come last: a sheet's own ways go before them."""

from fastapi import APIRouter

from app.web.routes import build, client, home, plan, proposal, show, things, works

ROUTERS: tuple[APIRouter, ...] = (
    home.router,
    client.router,
    build.router,
    plan.router,
    proposal.router,
    show.router,
    works.router,
    things.router,
)
