"""The section ``choose``, and what walls settle of linings that are to be chosen."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from innerleaf.job.faults import NOTHING, Report, Said, StandIn, one_of
from innerleaf.job.model import JobWall, JobWish
from innerleaf.job.schema import JobFile
from innerleaf.practice.model import Practice, ProfileUse

_USES = {"bracketed": (ProfileUse.CHANNEL,), "stud and track": (ProfileUse.STUD,)}


def check_choose(report: Report, file: JobFile, walls: Iterable[JobWall]) -> None:
    """Do objective and weights go together, and are the walls to be aligned there?"""
    choose = file.choose
    if choose is None or report.is_spoilt(("choose",), within=True):
        return
    said = choose.weights.model_dump(exclude_none=True) if choose.weights else {}
    if choose.objective == "weighted" and not any(said.values()):
        accepted = "with the objective weighted: one weight above 0 or more, such as {cost: 1, floor: 400}"
        report.add(("choose", "weights"), given=said or NOTHING, accepted=accepted)
    elif choose.objective != "weighted" and choose.weights is not None:
        given = Said(f"weights, with the objective {choose.objective}")
        report.add(("choose", "weights"), given=given, accepted="weights with the objective weighted only")
    if report.is_unsure(("walls",)) or report.is_unsure(("flats",)):
        return
    known = [wall.id for wall in walls]
    for number, group in enumerate(choose.align):
        for place, name in enumerate(group):
            if name not in known and not isinstance(name, StandIn):
                accepted = one_of(known, name, what="ids of walls")
                report.add(("choose", "align", number, place), given=name, accepted=accepted)


def check_wish(report: Report, wall: JobWall, practice: Practice) -> None:
    """Can what is settled of a lining be bought?"""
    wish = wall.wish
    if wish is None:
        return
    uses = _USES[wish.way] if wish.way else (ProfileUse.CHANNEL, ProfileUse.STUD)
    members = {key: profile for key, profile in practice.profiles.items() if profile.use in uses}
    for field, items, there, what in _named(wish, practice, members):
        for index, item in enumerate(items):
            if item not in there and not isinstance(item, StandIn):
                steps = () if isinstance(getattr(wish, field), str) else (index,)
                report.add((*wish.places[field], *steps), given=item, accepted=one_of(there, item, what=what))


def _named(
    wish: JobWish, practice: Practice, members: Mapping[str, object]
) -> Iterable[tuple[str, tuple[str, ...], Mapping[str, object], str]]:
    """Field, articles named, those there are, and what to call them."""
    of_set = "of the practice set"
    yield "profile", _some(wish.profile), members, f"studs or channels {of_set}"
    yield "boards", wish.boards or (), practice.boards, f"boards {of_set}"
    for field, items in (("insulation", wish.insulation), ("insulation_behind", wish.insulation_behind)):
        yield field, items or (), practice.insulation, f"insulation {of_set}"
    yield "membrane", _some(wish.membrane), practice.membranes, f"membranes {of_set}"
    yield "bracket", _some(wish.bracket), practice.brackets, f"brackets {of_set}"


def _some(item: str | None) -> tuple[str, ...]:
    return (item,) if item else ()
