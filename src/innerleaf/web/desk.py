"""What pages work on: jobs of the store, read and surveyed once for each revision, walls set out once.

A job of the store is laid out as the files it was made of, so that everything that reads files reads it too.
"""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from innerleaf.errors import InputError
from innerleaf.job.amend import set_field_of_wall
from innerleaf.job.model import Job, JobWall
from innerleaf.job.read import read_job, read_job_text, read_wall_alone
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.practice.load import load_practice
from innerleaf.practice.model import Practice
from innerleaf.reading import Text, read_text
from innerleaf.store.history import add, bring_back, documents, revision, save, with_its_own
from innerleaf.store.model import Document, Kind, Revision
from innerleaf.survey.build import given_walls, open_walls
from innerleaf.survey.wall import UNCHOSEN, Wall
from innerleaf.web.kept import Kept
from innerleaf.writing import Change, Insert, Put, changed

if TYPE_CHECKING:
    from sqlalchemy import Engine

JOB_FILE = "job.yaml"
_NAMED = (
    (("firm", "practice"), Kind.PRACTICE),
    (("firm", "prices"), Kind.PRICES),
    (("firm", "supply"), Kind.SUPPLY),
    (("firm", "rates"), Kind.RATES),
    (("site", "weather"), Kind.WEATHER),
)
_TEXTS_KEPT, _JOBS_KEPT, _WALLS_KEPT = 512, 32, 4_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A job of the store as read: one revision of it and of everything it names."""

    revision: Revision
    files: Mapping[str, Revision]  # by name: the job file and what lies beside it
    file: Path
    said: Text  # what the job file says, as plain values
    job: Job
    practice: Practice
    practice_key: str  # two jobs of one key go by the same rules
    walls: Mapping[str, Wall]  # in the order of the file; those to be chosen with the lining `UNCHOSEN`

    @property
    def number(self) -> int:
        """Number of the revision."""
        return self.revision.line.number

    def written(self, wall: str) -> JobWall:
        """The wall as the job file has it.

        Raises
        ------
        InputError
            There is none of this id.
        """
        found = next((one for one in self.job.walls if one.id == wall), None)
        if found is None:
            raise InputError("wall", given=wall, accepted="a wall of this job")
        return found


@dataclass(frozen=True, slots=True)
class Edited:
    """What came of an edit: the new revision, and the wall set out (None: its lining is to be chosen)."""

    opened: Opened
    plan: WallPlan | None


class Desk:
    """Opens, changes and plans the jobs of one store; ``folder`` is for files that can be made again."""

    def __init__(
        self, engine: Engine, folder: Path, clock: Callable[[], datetime] = lambda: datetime.now(UTC)
    ) -> None:
        self.engine, self.folder, self.clock = engine, folder, clock
        self._texts: Kept[Revision] = Kept(_TEXTS_KEPT)
        self._opened: Kept[Opened] = Kept(_JOBS_KEPT)
        self._plans: Kept[WallPlan] = Kept(_WALLS_KEPT)

    def jobs(self) -> tuple[Document, ...]:
        """All jobs, by name."""
        return documents(self.engine, Kind.JOB)

    def newest(self, known: Document) -> Revision:
        """The newest revision of a document."""
        return self._revision(known.id, known.head)

    def take_in(self, files: Mapping[str, str], *, who: str, what: str = "") -> Revision:
        """A new job of a job file (``job.yaml``, or the only one) and the files it names.

        Raises
        ------
        FileFaults
            The job file is not one; all that is wrong with it.
        InputError
            There is no job file among them.
        """
        name = JOB_FILE if JOB_FILE in files else next(iter(files), "") if len(files) == 1 else ""
        if not name:
            given = ", ".join(files) or "no file"
            raise InputError(
                "files", given=given, accepted=f"one job file, or several of which one is {JOB_FILE}"
            )
        self.folder.mkdir(parents=True, exist_ok=True)
        with TemporaryDirectory(dir=self.folder) as scratch:
            _lay_out(Path(scratch), {**files, JOB_FILE: files[name]})
            job = read_job(Path(scratch) / JOB_FILE)
        beside = [
            (kind, named, files[named])
            for kind, named in _named_by(read_text(files[name], name).value)
            if named in files
        ]
        return add(
            self.engine,
            Kind.JOB,
            self._free_name(job.name),
            files[name],
            who=who,
            at=self.clock(),
            what=what,
            beside=beside,
        )

    def files(self, key: str, number: int | None = None) -> dict[str, str]:
        """The job file of a revision and the files beside it, as they are to be written to disk."""
        return _texts(self._revisions(key, number))

    def open(self, key: str, number: int | None = None) -> Opened:
        """A revision of a job, the newest if no number is given.

        Raises
        ------
        InputError
            There is no such job or revision.
        FileFaults
            The text is not a job file that this version reads.
        """
        revisions = self._revisions(key, number)
        file = self._file(key, revisions)
        return self._opened.get(file, lambda: self._read(revisions, file))

    def _keep(self, opened: Opened) -> Opened:
        """Have a revision at hand that was made of one at hand."""
        key = opened.revision.line.document
        revisions = {**opened.files, JOB_FILE: opened.revision}
        file = self._file(key, revisions)
        _lay_out(file.parent, _texts(revisions))
        return self._opened.get(file, lambda: replace(opened, file=file, files=revisions))

    def _file(self, key: str, revisions: Mapping[str, Revision]) -> Path:
        """Where these files of a job are laid out; a digest of a revision stands for its text."""
        told = repr(sorted((name, one.line.digest) for name, one in revisions.items()))
        return self.folder / "jobs" / key / _digest(told) / JOB_FILE

    def _revisions(self, key: str, number: int | None) -> dict[str, Revision]:
        """A revision of the job file and the newest ones of the files beside it, by name."""
        job, beside = with_its_own(self.engine, key)
        found = {one.name: self._revision(one.id, one.head) for one in beside}
        return found | {JOB_FILE: self._revision(key, number or job.head)}

    def _revision(self, key: str, number: int) -> Revision:
        """A revision never changes: it is fetched once."""
        return self._texts.get((key, number), lambda: revision(self.engine, key, number))

    def plan(self, opened: Opened, wall: str) -> WallPlan:
        """One wall set out.

        Raises
        ------
        InputError
            There is no such wall, or its lining is still to be chosen.
        """
        opened.written(wall)
        if opened.walls[wall].lining is UNCHOSEN:
            raise InputError("lining", given="choose", accepted="a lining, to set the wall out")
        return self._plan(opened.walls[wall], opened)

    def set_field(self, key: str, base: int, wall: str, field: str, value: Any, *, who: str) -> Edited:
        """Save one field of one wall, changed in revision ``base``; the wall is set out anew.

        Raises
        ------
        FileFaults
            What the job file would then have wrong; nothing is saved.
        ChangedMeanwhile
            Somebody saved first. The version with this change is kept beside.
        """
        before = self.open(key, base)
        written = before.written(wall)
        changes = set_field_of_wall(before.said.value, written, field, value)
        text, said = changed(before.revision.text, before.said, changes)
        job = read_wall_alone(said, before.file, written.place)
        saved = self._save(key, base, text, who=who, what=f"wall {wall}: {field.replace('_', ' ')}")
        surveyed = _surveyed(job, before.practice)
        after = self._keep(_with_walls(before, saved, said, job, surveyed))
        plan = None if surveyed[wall].lining is UNCHOSEN else self._plan(surveyed[wall], before)
        return Edited(opened=after, plan=plan)

    def add_room(
        self, key: str, base: int, room: Mapping[str, Any], walls: Sequence[Mapping[str, Any]], *, who: str
    ) -> Opened:
        """Save a room and its walls, as the job file writes them, at the ends of their lists.

        Errors as `set_field`.
        """
        before = self.open(key, base)
        said = before.said.value
        changes = [
            *_appended("rooms", said.get("rooms"), [dict(room)]),
            *_appended("walls", said.get("walls"), [dict(wall) for wall in walls]),
        ]
        text, _ = changed(before.revision.text, before.said, changes)
        return self.write(key, base, text, who=who, what=f"room {room['id']}")

    def write(self, key: str, base: int, text: str, *, who: str, what: str) -> Opened:
        """Save a whole job file. Errors as `set_field`."""
        revisions = self._revisions(key, base)
        file = self._file(key, revisions)
        _lay_out(file.parent, _texts(revisions))  # not opened: the text before may be one that cannot be read
        read_job_text(text, file)
        self._save(key, base, text, who=who, what=what)
        return self.open(key)

    def _save(self, key: str, base: int, text: str, *, who: str, what: str) -> Revision:
        return save(self.engine, key, base, text, who=who, at=self.clock(), what=what)

    def _plan(self, wall: Wall, opened: Opened) -> WallPlan:
        return self._plans.get((wall, opened.practice_key), lambda: plan_wall(wall, opened.practice))

    def bring_back(self, key: str, number: int, *, who: str) -> Opened:
        """Make an earlier revision the newest."""
        bring_back(self.engine, key, number, who=who, at=self.clock())
        return self.open(key)

    def _read(self, files: Mapping[str, Revision], file: Path) -> Opened:
        newest = files[JOB_FILE]
        _lay_out(file.parent, _texts(files))
        job = read_job(file)
        practice = load_practice(job.practice, job.practice_override)
        walls = _surveyed(job, practice)
        return Opened(
            revision=newest,
            files=files,
            file=file,
            said=read_text(newest.text, JOB_FILE),
            job=job,
            practice=practice,
            practice_key=f"{job.practice} {_digest(_text_of(job.practice_override))}",
            walls=walls,
        )

    def _free_name(self, name: str) -> str:
        taken = {one.name for one in self.jobs()}
        numbered = (f"{name} ({number})" for number in range(2, len(taken) + 2))
        return next(free for free in (name, *numbered) if free not in taken)


def _surveyed(job: Job, practice: Practice) -> dict[str, Wall]:
    """All walls in the order of the job."""
    given = {wall.id: wall for wall in given_walls(job, practice)}
    to_choose = {wall.id: wall for wall, _ in open_walls(job, practice)}
    return {wall.id: (given | to_choose)[wall.id] for wall in job.walls}


def _with_walls(
    before: Opened, saved: Revision, said: Text, alone: Job, surveyed: Mapping[str, Wall]
) -> Opened:
    """The job after what is written of one wall changed; ``alone`` is the job of what it stands for."""
    short = alone.walls[0].place
    place = before.written(alone.walls[0].id).place
    new = {
        wall.id: replace(
            wall,
            place=place,
            places={
                field: (*place, *at[len(short) :]) if at[: len(short)] == short else at
                for field, at in wall.places.items()
            },
        )
        for wall in alone.walls
    }
    walls = tuple(new.get(one.id, one) for one in before.job.walls)
    job = replace(before.job, walls=walls, positions=said.where)
    return replace(before, revision=saved, said=said, job=job, walls={**before.walls, **surveyed})


def _texts(revisions: Mapping[str, Revision]) -> dict[str, str]:
    return {name: one.text for name, one in revisions.items()}


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:24]


def _text_of(file: Path | None) -> str:
    return file.read_text(encoding="utf-8") if file else ""


def _appended(section: str, there: Any, items: list[dict[str, Any]]) -> list[Change]:
    """Items at the end of a list of the job file, which may not be there yet."""
    if not there:
        return [Put((section,), items)]
    return [Insert((section, len(there) + number), item) for number, item in enumerate(items)]


def _named_by(said: Any) -> list[tuple[Kind, str]]:
    found = []
    for (group, field), kind in _NAMED:
        part = said.get(group) if isinstance(said, dict) else None
        name = part.get(field) if isinstance(part, dict) else None
        if isinstance(name, str) and name:
            found.append((kind, name))
    return found


def _lay_out(folder: Path, files: Mapping[str, str]) -> None:
    """Write files that are not there yet.

    Raises
    ------
    InputError
        A name leads out of the folder.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in files.items():
        file = folder / name
        if Path(name).name != name:
            raise InputError("file", given=name, accepted="the name of a file, without folders")
        if not file.exists():
            part = file.with_name(f".{name}.{threading.get_ident()}")
            part.write_text(text, encoding="utf-8", newline="")
            part.replace(file)
