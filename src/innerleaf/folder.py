"""The output folder appears whole or not at all.

Files go into a folder beside the target; only when all of them are on the disk is it renamed into
place. The folder carries a list of what was written, so that a later run replaces its own files
and never a person's.
"""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from innerleaf.errors import InputError

CONTENTS = ".innerleaf-contents"

_DISK = {
    errno.ENOSPC: "a disk with room left",
    errno.EDQUOT: "a disk with room left",
    errno.EFBIG: "a disk that takes files of this size",
    errno.EROFS: "a folder on a disk that can be written to",
    errno.EACCES: "a folder you may write to",
    errno.EPERM: "a folder you may write to",
    errno.ENOENT: "a folder in a place where one can be made",
    errno.ENOTDIR: "a path that leads through folders only",
    errno.ENAMETOOLONG: "a shorter path",
    errno.EBUSY: "a folder that is not in use as a whole (a mount point): name a folder inside it",
    errno.EIO: "a disk without read or write errors",
}


class CannotWrite(InputError):
    """The results cannot be put where the person wants them; nothing was changed there."""


@contextmanager
def whole_folder(target: Path, *, replace: bool) -> Iterator[Path]:
    """Give a folder to write into; rename it to ``target`` when the block ends well.

    Whatever goes wrong inside, an interrupt included, leaves ``target`` as it was. An existing
    ``target`` is taken over when it is empty, or with ``replace`` when it holds nothing but what an
    earlier run wrote.

    Raises
    ------
    CannotWrite
        There is something else at ``target``, or the disk does not take the files.
    """
    target = target.resolve()
    _refuse_what_is_not_ours(target, replace=replace)
    partial = target.with_name(f".{target.name}.{os.getpid()}.partial")
    try:
        partial.mkdir(parents=True)
        yield partial
        (partial / CONTENTS).write_text("".join(f"{name}\n" for name in _files(partial)), encoding="utf-8")
        _flush()
        _put_in_place(partial, target)
    except BaseException as error:
        shutil.rmtree(partial, ignore_errors=True)
        reason = _disk_reason(error, partial) if isinstance(error, Exception) else None
        if reason is None:
            raise
        raise CannotWrite("output folder", given=str(target), accepted=reason) from error


def _files(folder: Path) -> list[str]:
    """Paths of all files below a folder, relative to it, in order."""
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if not path.is_dir())


def _flush() -> None:
    """See the files onto the disk: one call for all of them, thousands of single ones take seconds."""
    if hasattr(os, "sync"):
        os.sync()


def _refuse_what_is_not_ours(target: Path, *, replace: bool) -> None:
    def refuse(accepted: str) -> CannotWrite:
        return CannotWrite("output folder", given=str(target), accepted=accepted)

    try:
        if not target.exists():
            return
        if not target.is_dir():
            raise refuse("a folder; there is a file of this name")
        if target == Path.cwd():
            raise refuse("a folder other than the one you are in")
        there = _files(target)
        if not there:
            return
        listed = target / CONTENTS
        ours = {CONTENTS, *listed.read_text("utf-8").splitlines()} if listed.is_file() else set()
    except OSError as error:
        raise refuse(_DISK.get(error.errno or 0, "a folder that can be read")) from error
    if not ours:
        raise refuse("an empty or new folder; this one holds files that innerleaf did not write")
    if not replace:
        raise refuse("an empty or new folder; add --replace to write over the plan in this one")
    foreign = [name for name in there if name not in ours]
    if foreign:
        names = ", ".join(foreign[:3]) + (" ..." if len(foreign) > 3 else "")
        raise refuse(f"a folder with nothing but a plan; move these of your own elsewhere first: {names}")


def _put_in_place(partial: Path, target: Path) -> None:
    if not target.exists():
        partial.rename(target)
        return
    before = target.with_name(f".{target.name}.{os.getpid()}.before")
    target.rename(before)
    try:
        partial.rename(target)
    except BaseException:
        before.rename(target)
        raise
    with suppress(OSError):  # the new plan is in place; a leftover of the old one is no failure
        shutil.rmtree(before)


def _disk_reason(error: BaseException, partial: Path) -> str | None:
    """What a person can do about it, when the disk is why; a library may have wrapped its error."""
    seen: BaseException | None = error
    while seen is not None:
        if isinstance(seen, OSError) and not isinstance(seen, InputError):
            name, reason = str(seen.filename or partial), _DISK.get(seen.errno or 0)
            if reason and (name.startswith(str(partial.parent)) or str(partial).startswith(name)):
                return reason
        seen = seen.__cause__ or seen.__context__
    return None
