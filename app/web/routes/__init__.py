"""Routes, one module a sheet."""

from fastapi import APIRouter

from app.web.routes import home

ROUTERS: tuple[APIRouter, ...] = (home.router,)
