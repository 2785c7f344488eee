"""The application: pages, their JSON side, static files, and what is answered when something is wrong."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.resources import files

from fastapi import FastAPI
from starlette.concurrency import run_in_threadpool

from innerleaf import __version__
from innerleaf.web import (
    api,
    api_runs,
    begin,
    catalogue,
    firm_files,
    handing,
    looks,
    manner,
    options,
    pages,
    parts,
    plans,
    programme,
    revising,
    sign_in,
    site,
)
from innerleaf.web.desk import Desk
from innerleaf.web.guard import Guard
from innerleaf.web.kept import Shelf
from innerleaf.web.refusals import HANDLERS, refused
from innerleaf.web.runs import Runner
from innerleaf.web.static_files import FOLDER, Fonts, Static

LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]"})


def make_app(
    desk: Desk,
    *,
    user: str,
    hosts: frozenset[str] = LOOPBACK,
    runner: Runner | None = None,
    team: bool = False,
) -> Guard:
    """The whole application for one store; ``user`` is named in what is saved.

    ``runner`` does the long work that pages ask for; without one it waits in the store. In a ``team`` people
    sign in, and ``user`` is nobody.
    """

    @asynccontextmanager
    async def working(_app: FastAPI) -> AsyncIterator[None]:
        if runner:
            runner.start()
        yield
        if runner:
            await run_in_threadpool(runner.stop)

    app = FastAPI(title="innerleaf", version=__version__, docs_url=None, redoc_url=None, lifespan=working)
    app.state.desk, app.state.user, app.state.team, app.state.shelf = desk, user, team, Shelf()
    app.include_router(options.router)  # before the fields of a wall, of which it is none
    app.include_router(api.router)
    app.include_router(api_runs.router)
    app.include_router(sign_in.router)
    app.include_router(manner.router)
    app.include_router(begin.router)
    app.include_router(catalogue.router)
    app.include_router(firm_files.router)
    app.include_router(firm_files.pages_router)
    app.include_router(options.pages_router)
    app.include_router(parts.router)
    app.include_router(parts.pages_router)
    app.include_router(plans.router)
    app.include_router(programme.router)
    app.include_router(programme.pages_router)
    app.include_router(looks.router)
    app.include_router(revising.router)
    app.include_router(handing.router)
    app.include_router(handing.pages_router)
    app.include_router(site.router)
    app.include_router(site.pages_router)
    app.include_router(pages.router)
    app.mount("/static", Static(directory=FOLDER), name="static")
    font = str(files("font_source_sans_pro") / "files")
    app.mount("/font", Fonts(directory=font), name="font")
    for kind, handler in HANDLERS.items():
        app.add_exception_handler(kind, handler)
    return Guard(manner.Speaking(app), hosts=hosts, refused=refused)
