"""What is answered when something is wrong: a sentence for programs, a page with the way on for people."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable
from typing import Any, Final

from fastapi import Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException

from innerleaf.errors import FileFaults, InputError
from innerleaf.store.model import ChangedMeanwhile
from innerleaf.web.answers import ConflictAnswer, ErrorAnswer, Version
from innerleaf.web.desk import JOB_FILE
from innerleaf.web.page import page
from innerleaf.web.people import MayNot, SignInFirst

_NOT_THERE: Final = ("document", "wall", "revision", "run")
_WITH_HELP: Final = (403, 404, 413, 421, 500)
_SENTENCES: Final = {
    404: "There is nothing at this address.",
    405: "This address does not take such a request.",
}
_JOB: Final = re.compile(r"/jobs/([0-9a-f]{32})(/|\Z)")
Handler = Callable[[Request, Any], Awaitable[Response]]


def refused(path: str, status: int, error: str, faults: tuple[str, ...] = ()) -> Response:
    """The answer to a request that is not fulfilled: as JSON under /api/, else a page."""
    if path.startswith("/api/"):
        return JSONResponse(ErrorAnswer(error=error, faults=list(faults)).model_dump(), status_code=status)
    job = _JOB.match(path)
    kind = str(status) if status in _WITH_HELP else "other"
    back = f"/jobs/{job[1]}" if job and job.end() < len(path) else ""
    return page("error", status=status, error=error, faults=faults, kind=kind, back=back)


async def _input_error(request: Request, error: Any) -> Response:
    return refused(request.url.path, 404 if error.field in _NOT_THERE else 422, str(error))


async def _file_faults(request: Request, error: Any) -> Response:
    faults = tuple(_short(fault) for fault in error.faults)
    path = request.url.path
    if not path.startswith("/api/") and (job := _JOB.match(path)):
        return page("unreadable", status=422, faults=faults, key=job[1])
    return refused(path, 422, faults[0] if len(faults) == 1 else f"{len(faults)} mistakes.", faults)


async def _sign_in_first(request: Request, _error: Any) -> Response:
    if request.url.path.startswith("/api/"):
        return refused(request.url.path, 401, "Sign in first.")
    return page("sign_in", status=401, on=request.url.path if request.method == "GET" else "/")


async def _may_not(request: Request, error: Any) -> Response:
    return refused(request.url.path, 403, str(error))


async def _changed_meanwhile(_request: Request, error: Any) -> Response:
    both = ConflictAnswer(
        error=str(error), newest=Version.newest(error.newest), yours=Version.aside(error.aside)
    )
    return JSONResponse(both.model_dump(mode="json"), status_code=409)


async def _not_understood(request: Request, error: Any) -> Response:
    faults = tuple(f"{'.'.join(map(str, one['loc'][1:]))}: {one['msg']}" for one in error.errors())
    broken = any(one["type"] == "json_invalid" for one in error.errors())
    return refused(request.url.path, 400 if broken else 422, "The request is not as it should be.", faults)


async def _http(request: Request, error: Any) -> Response:
    sentence = _SENTENCES.get(error.status_code, str(error.detail))
    return refused(request.url.path, error.status_code, sentence)


async def _broken(request: Request, _error: Any) -> Response:
    return refused(request.url.path, 500, "The program failed on this request.")


HANDLERS: Final[dict[type[Exception], Handler]] = {
    InputError: _input_error,
    FileFaults: _file_faults,
    ChangedMeanwhile: _changed_meanwhile,
    SignInFirst: _sign_in_first,
    MayNot: _may_not,
    RequestValidationError: _not_understood,
    HTTPException: _http,
    Exception: _broken,
}


def _short(fault: str) -> str:
    """A fault without the folder that the job was laid out in."""
    before, name, after = fault.partition(f"/{JOB_FILE}:")
    return f"{JOB_FILE}:{after}" if name and "/" in before else fault
