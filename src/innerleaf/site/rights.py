"""Who may say what on site: the same work, other signatures."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from innerleaf.practice.site import HoldPoint
from innerleaf.site.holds import MAY_RELEASE, OUTCOMES, PASSED, RELEASED
from innerleaf.site.records import Entry, Kind, Record

_MAY_ACCEPT: Final = ("estimator", "foreman", "inspector")


def refusal(
    entry: Entry, *, who: str, role: str, holds: Mapping[str, HoldPoint], known: Mapping[str, Record]
) -> str:
    """Why an entry is not taken from somebody, in a sentence; "" if it is.

    ``known``: records of the job by the id of their entry.
    """
    if entry.kind == Kind.HOLD:
        return _of_hold(entry, role, holds)
    if entry.kind in (Kind.ACCEPTED, Kind.WITHDRAWN):
        if entry.about not in known:
            return "The record it speaks of is not there."
        if not entry.text.strip():
            return "A reason is needed."
        mine = entry.kind == Kind.WITHDRAWN and known[entry.about].who == who
        if role not in _MAY_ACCEPT and not mine:
            return f"Here as {role}: only {', '.join(_MAY_ACCEPT)} may do that."
    return ""


def _of_hold(entry: Entry, role: str, holds: Mapping[str, HoldPoint]) -> str:
    hold = holds.get(entry.what)
    if hold is None or entry.outcome not in OUTCOMES:
        return f"There is no hold point {entry.what!r} with the outcome {entry.outcome!r}."
    if entry.outcome == PASSED and role not in (*hold.passes, "estimator"):
        return f"Here as {role}: {' or '.join(hold.passes)} may pass {hold.id}."
    if entry.outcome == RELEASED and role not in MAY_RELEASE:
        return f"Here as {role}: {' or '.join(MAY_RELEASE)} may release {hold.id}."
    if entry.outcome == RELEASED and not entry.text.strip():
        return "A release needs a reason."
    return ""
