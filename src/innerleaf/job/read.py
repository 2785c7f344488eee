"""Reading a job file: a `Job`, or everything that is wrong with it at once."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from innerleaf.errors import FileFaults, InputError
from innerleaf.job.check_buying import check_buying
from innerleaf.job.check_choose import check_choose, check_wish
from innerleaf.job.check_cover import check_cover
from innerleaf.job.check_lining import check_height, check_lining, check_materials
from innerleaf.job.check_moisture import check_climate, check_reading
from innerleaf.job.check_plan import check_plan
from innerleaf.job.check_pricing import check_pricing
from innerleaf.job.check_programme import check_programme
from innerleaf.job.check_wall import check_wall
from innerleaf.job.faults import Fault, Report, one_of
from innerleaf.job.lining import named_linings
from innerleaf.job.model import Job
from innerleaf.job.resolve import Resolved, resolve
from innerleaf.job.schema import Choose, JobFile
from innerleaf.job.schema_buying import Buying
from innerleaf.job.shape import shaped
from innerleaf.job.sound import check_separates
from innerleaf.practice.load import load_practice, practice_sets
from innerleaf.practice.model import Practice
from innerleaf.reading import Place, Text, read_file, read_text, value_at

__all__ = ["Job", "check_job", "read_job", "read_job_text", "read_wall_alone"]


# Sections that speak of more walls than one.
_OF_ALL_WALLS = ("walls", "flats", "flat_types", "choose", "buying", "pricing", "programme")


class JobFaults(FileFaults):
    """Everything wrong with a job file; ``details`` has the parts of each sentence."""

    def __init__(self, details: list[Fault]) -> None:
        super().__init__([fault.sentence for fault in details])
        self.details = tuple(details)


def read_job(path: Path) -> Job:
    """Read and check a job file.

    Raises
    ------
    JobFaults
        Something is wrong with it; every fault is in the error.
    """
    return _job(read_file(path), path)


def read_job_text(text: str, path: Path) -> Job:
    """The same for a text; ``path`` is the file it stands for. Errors as `read_job`."""
    return _job(read_text(text, str(path)), path)


def read_wall_alone(text: Text, path: Path, place: Place) -> Job:
    """The job as if it had one wall, the one written at a place: quick to read after a change.

    A wall of a flat type is there once for each flat. What is wrong with that wall comes to light as in the
    whole job; what it has to do with other walls does not. Errors as `read_job`.
    """
    depth, alone = len(place), (*place[:-1], 0)
    said = {key: part for key, part in text.value.items() if key not in _OF_ALL_WALLS}
    said |= _only_wall(text.value, place)
    where, keys = (
        {**known, **{(*alone, *at[depth:]): there for at, there in known.items() if at[:depth] == place}}
        for known in (text.where, text.keys)
    )
    return _job(replace(text, value=said, where=where, keys=keys), path, whole=False)


def _only_wall(said: Any, place: Place) -> dict[str, Any]:
    """The sections of the walls with one wall left."""
    wall = value_at(said, place)
    if place[0] == "walls":
        return {"walls": [wall]}
    types: dict[str, Any] = {name: {} for name in said["flat_types"]}
    types[str(place[1])] = said["flat_types"][place[1]] | {"walls": [wall]}
    changes = "changes"
    flats = [
        part | {changes: {id_: new for id_, new in part[changes].items() if id_ == wall["id"]}}
        if part.get(changes) and part["type"] == place[1]
        else {key: value for key, value in part.items() if key != changes}
        for part in said["flats"]
    ]
    return {"flat_types": types, "flats": flats}


def check_job(path: Path) -> list[Fault]:
    """Everything wrong with a job file, from its first line to its last."""
    try:
        read_job(path)
    except JobFaults as error:
        return list(error.details)
    return []


def _job(text: Text, path: Path, *, whole: bool = True) -> Job:
    report = Report(text)
    report.syntax()
    file = None if report.faults else shaped(report)
    if file is None:
        raise JobFaults(report.faults)
    resolved = resolve(file, report)
    practice_file = path.parent / file.firm.practice if file.firm.practice else None
    practice = _practice(report, file, practice_file)
    check_climate(report, file)
    for wall in resolved.distinct:
        check_reading(report, wall)
        check_wall(report, wall, pipe_clear_mm=practice.rules.pipe_clear_mm if practice else 0)
    check_choose(report, file, resolved.walls)
    if whole:  # else the walls that sides name are not all there
        check_plan(report, file)
    check_pricing(report, file, resolved.rooms, resolved.walls)
    check_programme(report, file, resolved.rooms)
    if practice is not None:
        _against_practice(report, file, resolved, practice)
    if report.faults:
        raise JobFaults(report.faults)
    return Job(
        file=path,
        name=file.site.name,
        site_place=file.site.place,
        climate=file.site.climate,
        weather=path.parent / file.site.weather if file.site.weather else None,
        latitude=file.site.latitude,
        pages=file.site.pages,
        practice=file.site.practice,
        practice_override=practice_file,
        firm=file.firm.name,
        prices=path.parent / file.firm.prices if file.firm.prices else None,
        supply=path.parent / file.firm.supply if file.firm.supply else None,
        buying=file.buying or Buying.model_validate({}),
        rates=path.parent / file.firm.rates if file.firm.rates else None,
        pricing=file.pricing,
        programme=file.programme,
        choose=file.choose or Choose.model_validate({}),
        rooms=resolved.rooms,
        walls=resolved.walls,
        positions=text.where,
    )


def _practice(report: Report, file: JobFile, override: Path | None) -> Practice | None:
    name = file.site.practice
    if any(map(report.is_spoilt, (("site",), ("site", "practice"), ("firm",), ("firm", "practice")))):
        return None
    if name not in practice_sets():
        accepted = one_of(practice_sets(), name, what="practice sets")
        report.add(("site", "practice"), given=name, accepted=accepted)
        return None
    try:
        return load_practice(name, override)
    except FileFaults as error:
        for line in error.faults:
            report.add(
                ("firm", "practice"), given=file.firm.practice, accepted=f"a file without faults ({line})"
            )
    except InputError as error:
        report.add(("firm", "practice"), given=file.firm.practice, accepted=error.accepted)
    return None


def _against_practice(report: Report, file: JobFile, resolved: Resolved, practice: Practice) -> None:
    check_materials(report, file, practice)
    check_buying(report, file, resolved.rooms, practice)
    linings = {lining.id: lining for lining in named_linings(file, report)}
    for wall in resolved.distinct:
        if wall.lining is not None:
            linings.setdefault(wall.lining.id, wall.lining)
            check_height(report, wall, practice)
        check_wish(report, wall, practice)
        check_cover(report, wall, practice)
        check_separates(report, wall, practice)
    for lining in linings.values():
        check_lining(report, lining, practice)
