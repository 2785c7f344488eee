"""Ways to put a fault into a plan."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

Json = dict[str, Any]
Mutation = Callable[[Json], object]


def wall_of(document: Json, name: str = "W-01") -> Json:
    found: Json = next(plan for plan in document["walls"] if plan["wall"]["id"] == name)
    return found


def piece(pieces: list[Json], **wanted: Any) -> Json:
    return next(p for p in pieces if all(p[key] == value for key, value in wanted.items()))


def without(kind: str, /, **wanted: Any) -> Callable[[Json], None]:
    def mutate(plan: Json) -> None:
        plan[kind].remove(piece(plan[kind], **wanted))

    return mutate


def change(kind: str, key: str, value: Any, /, **wanted: Any) -> Callable[[Json], None]:
    def mutate(plan: Json) -> None:
        found = piece(plan[kind], **wanted)
        found[key] = value(found[key]) if callable(value) else value

    return mutate
