"""Errors a person can act on.

InnerleafError
├── InputError   a value a person gave cannot be used
└── FileFaults   all the faults of one file, gathered
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager


class InnerleafError(Exception):
    """Anything innerleaf raises on purpose."""


class InputError(InnerleafError, ValueError):
    """A value a person gave cannot be used; the message says how to mend it."""

    def __init__(self, field: str, *, given: object, accepted: str) -> None:
        super().__init__(field, given, accepted)
        self.field, self.given, self.accepted = field, given, accepted
        self.where = ""

    def __str__(self) -> str:
        where = f"{self.where}, " if self.where else ""
        return f"{where}{self.field}: given {self.given!r}, accepted: {self.accepted}."

    def __reduce__(self) -> tuple[Callable[..., InputError], tuple[object, ...]]:
        """Lets it arrive whole from another process."""
        return _again, (type(self), self.field, self.given, self.accepted, self.where)


def _again(kind: type[InputError], field: str, given: object, accepted: str, where: str) -> InputError:
    error = kind(field, given=given, accepted=accepted)
    error.where = where
    return error


class FileFaults(InnerleafError):
    """Everything that is wrong with one file, said at once."""

    def __init__(self, faults: Sequence[str]) -> None:
        super().__init__("\n".join(faults))
        self.faults = tuple(faults)


@contextmanager
def about(where: str) -> Iterator[None]:
    """Name the wall (room, order line) that errors raised inside belong to."""
    try:
        yield
    except InputError as error:
        error.where = error.where or where
        raise
