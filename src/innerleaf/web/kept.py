"""Answers worked out once: kept while there is room, sent again as they were, or not at all where known."""

from __future__ import annotations

import gzip
import hashlib
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from concurrent.futures import Future
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Generic, TypeVar

from fastapi.responses import Response

from innerleaf.web.manner import manner

if TYPE_CHECKING:
    from fastapi import Request

Value = TypeVar("Value")

_MOST_BYTES: Final = 48 * 1024 * 1024
_LEVEL: Final = 5  # of compression: higher ones take longer than a local network gains


class Kept(Generic[Value]):
    """The last so many answers, each worked out once, also when several threads ask for it together."""

    def __init__(self, most: int, size: Callable[[Value], int] = lambda _value: 1) -> None:
        self._most, self._size, self._lock = most, size, threading.Lock()
        self._values: OrderedDict[Hashable, Value] = OrderedDict()
        self._coming: dict[Hashable, Future[Value]] = {}
        self._held = 0

    def get(self, key: Hashable, make: Callable[[], Value]) -> Value:
        """The answer of a key; ``make`` works it out if it is not there."""
        with self._lock:
            if key in self._values:
                self._values.move_to_end(key)
                return self._values[key]
            coming = self._coming.get(key)
            if coming is None:
                mine = self._coming[key] = Future()
        if coming is not None:
            return coming.result()
        try:
            value = make()
        except BaseException as error:
            mine.set_exception(error)
            raise
        else:
            mine.set_result(value)
            self._put(key, value)
            return value
        finally:
            with self._lock:
                del self._coming[key]

    def _put(self, key: Hashable, value: Value) -> None:
        with self._lock:
            self._values[key] = value
            self._held += self._size(value)
            while self._held > self._most:
                _, old = self._values.popitem(last=False)
                self._held -= self._size(old)


@dataclass(frozen=True, slots=True)
class _Body:
    """A whole answer, packed."""

    status: int
    media_type: str
    tag: str
    packed: bytes


class Shelf(Kept[_Body]):
    """Whole answers to requests."""

    def __init__(self) -> None:
        super().__init__(_MOST_BYTES, lambda body: len(body.packed))


def kept(request: Request, key: Hashable, make: Callable[[], Response]) -> Response:
    """An answer that is the same as long as its key is, for everybody who reads the same language and units.

    ``key`` has everything that the answer tells of, beside what the address says: for what a job file tells,
    `Opened.file` stands for all of it.
    """
    shelf = request.app.state.shelf
    assert isinstance(shelf, Shelf)
    body = shelf.get((key, manner(), request.url.path, request.url.query), lambda: _packed(make()))
    headers = {"etag": body.tag, "cache-control": "private, no-cache"}
    if request.headers.get("if-none-match") == body.tag:
        return Response(status_code=304, headers=headers)
    if "gzip" in request.headers.get("accept-encoding", ""):
        headers |= {"content-encoding": "gzip"}
        return Response(body.packed, body.status, headers, body.media_type)
    return Response(gzip.decompress(body.packed), body.status, headers, body.media_type)


def _packed(made: Response) -> _Body:
    content = bytes(made.body)
    tag = f'"{hashlib.blake2b(content, digest_size=12).hexdigest()}"'
    return _Body(made.status_code, made.media_type or "", tag, gzip.compress(content, _LEVEL, mtime=0))
