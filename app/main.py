"""The web application, put together."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import cache

from fastapi import Depends, FastAPI
from starlette.formparsers import MultiPartParser

from app.documents.pdf import pdf_available
from app.domain.sharing import Ended
from app.services.backup_folder import keep_making
from app.services.mailing import keep_sending
from app.services.office import Office
from app.web import errors, statics
from app.web.access import Gate, guard
from app.web.addresses import AddressBook, book_of
from app.web.idle import Collecting, Idle
from app.web.routes import ROUTERS
from app.web.sharing import Sharing
from app.web.sizes import BODY_LIMIT
from app.worker.running import worker_of_this_loop


def create_app(office: Office) -> FastAPI:
    """The application of one office."""
    app = FastAPI(
        title="Outlay",
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        lifespan=_lifespan,
    )
    app.state.office = office
    app.state.idle = None  # until it is served
    app.state.sharing = Sharing(app, office)
    app.state.static = statics.load_statics(office.settings.static)
    MultiPartParser.spool_max_size = BODY_LIMIT  # but for a whole job uploads stay in memory, without a thread
    app.router.routes.append(_addresses())
    errors.install(app)
    app.add_middleware(Gate)
    return app


@cache
def _addresses() -> AddressBook:
    """All addresses, each guarded; the same for every office."""
    return book_of((statics.router, *ROUTERS), Depends(guard))


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    collecting = Collecting()
    collecting.begin()
    worker = worker_of_this_loop()
    office: Office = app.state.office
    app.state.idle = idle = Idle((office.database.tidy, collecting))
    sharing: Sharing = app.state.sharing
    backing_up = asyncio.create_task(keep_making(office))
    mailing = asyncio.create_task(keep_sending(office))
    with office.database.flushed_beside():
        if pdf_available():
            warming = asyncio.create_task(worker.warm("pdf"))
            yield
            warming.cancel()
        else:
            yield
        await sharing.end(Ended.QUIT)
        backing_up.cancel()
        mailing.cancel()
        idle.stop()
        await worker.close()
