"""The application: pages, their JSON side, static files, and what is answered when something is wrong."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.resources import files
from pathlib import Path
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from fastapi.staticfiles import StaticFiles
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException

from innerleaf import __version__
from innerleaf.errors import FileFaults, InputError
from innerleaf.store.model import ChangedMeanwhile
from innerleaf.web import (
    api,
    api_runs,
    begin,
    looks,
    manner,
    options,
    pages,
    parts,
    plans,
    programme,
    sign_in,
    site,
)
from innerleaf.web.answers import ConflictAnswer, ErrorAnswer, Version
from innerleaf.web.desk import JOB_FILE, Desk
from innerleaf.web.guard import Guard
from innerleaf.web.page import page
from innerleaf.web.people import MayNot, SignInFirst
from innerleaf.web.runs import Runner

LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]"})
_NOT_THERE = ("document", "wall", "revision", "run")


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
    app.state.desk, app.state.user, app.state.team = desk, user, team
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
    app.include_router(site.router)
    app.include_router(site.pages_router)
    app.include_router(pages.router)
    app.mount("/static", StaticFiles(directory=Path(__file__).parent / "static"), name="static")
    font = str(files("font_source_sans_pro") / "files")
    app.mount("/font", StaticFiles(directory=font), name="font")
    app.add_exception_handler(InputError, _input_error)
    app.add_exception_handler(FileFaults, _file_faults)
    app.add_exception_handler(ChangedMeanwhile, _changed_meanwhile)
    app.add_exception_handler(SignInFirst, _sign_in_first)
    app.add_exception_handler(MayNot, _may_not)
    app.add_exception_handler(RequestValidationError, _not_understood)
    app.add_exception_handler(HTTPException, _not_there)
    return Guard(manner.Speaking(app), hosts=hosts)


def _refused(request: Request, status: int, error: str, faults: tuple[str, ...] = ()) -> Response:
    if request.url.path.startswith("/api/"):
        return JSONResponse(ErrorAnswer(error=error, faults=list(faults)).model_dump(), status_code=status)
    return pages.error_page(status, error, faults)


async def _input_error(request: Request, error: Any) -> Response:
    return _refused(request, 404 if error.field in _NOT_THERE else 422, str(error))


async def _file_faults(request: Request, error: Any) -> Response:
    faults = tuple(_short(fault) for fault in error.faults)
    return _refused(request, 422, faults[0] if len(faults) == 1 else f"{len(faults)} mistakes.", faults)


async def _sign_in_first(request: Request, _error: Any) -> Response:
    if request.url.path.startswith("/api/"):
        return _refused(request, 401, "Sign in first.")
    return page("sign_in", status=401, on=request.url.path if request.method == "GET" else "/")


async def _may_not(request: Request, error: Any) -> Response:
    return _refused(request, 403, str(error))


async def _changed_meanwhile(_request: Request, error: Any) -> Response:
    return api.conflict(
        ConflictAnswer(
            error=str(error), newest=Version.newest(error.newest), yours=Version.aside(error.aside)
        )
    )


async def _not_understood(request: Request, error: Any) -> Response:
    faults = tuple(f"{'.'.join(map(str, one['loc'][1:]))}: {one['msg']}" for one in error.errors())
    broken = any(one["type"] == "json_invalid" for one in error.errors())
    return _refused(request, 400 if broken else 422, "The request is not as it should be.", faults)


async def _not_there(request: Request, error: Any) -> Response:
    return _refused(request, error.status_code, str(error.detail))


def _short(fault: str) -> str:
    """A fault without the folder that the job was laid out in."""
    before, name, after = fault.partition(f"/{JOB_FILE}:")
    return f"{JOB_FILE}:{after}" if name and "/" in before else fault
