"""The output folder appears whole or not at all."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from innerleaf.folder import CONTENTS, CannotWrite, whole_folder


def write(target: Path, *, replace: bool = False, text: str = "new", name: str = "plan.json") -> None:
    with whole_folder(target, replace=replace) as folder:
        (folder / name).write_text(text)


def names(folder: Path) -> list[str]:
    """Everything below a folder, hidden files too: a leftover would show here."""
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*"))


@pytest.fixture
def earlier(tmp_path: Path) -> Path:
    """A folder with an earlier plan."""
    write(tmp_path / "out", text="old", name="plan.json")
    return tmp_path / "out"


def test_new_folder_holds_what_was_written_and_its_contents(tmp_path: Path) -> None:
    with whole_folder(tmp_path / "deep" / "out", replace=False) as folder:
        (folder / "walls").mkdir()
        (folder / "walls" / "W-01.svg").write_text("<svg/>")
        assert not (tmp_path / "deep" / "out").exists()

    assert names(tmp_path) == [
        "deep",
        "deep/out",
        f"deep/out/{CONTENTS}",
        "deep/out/walls",
        "deep/out/walls/W-01.svg",
    ]
    assert (tmp_path / "deep/out" / CONTENTS).read_text() == "walls/W-01.svg\n"


def test_empty_folder_is_taken_over(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    write(tmp_path / "out")
    assert names(tmp_path / "out") == [CONTENTS, "plan.json"]


def test_earlier_plan_is_kept_unless_asked(earlier: Path) -> None:
    with pytest.raises(CannotWrite, match="--replace"):
        write(earlier)
    assert (earlier / "plan.json").read_text() == "old"


def test_earlier_plan_is_replaced_whole(earlier: Path) -> None:
    """A sheet of a wall that no longer exists must not stay behind."""
    write(earlier, replace=True, name="other.json")
    assert names(earlier.parent) == ["out", f"out/{CONTENTS}", "out/other.json"]


def test_file_of_a_person_is_never_removed(earlier: Path) -> None:
    (earlier / "notes.txt").write_text("ring the client")
    with pytest.raises(CannotWrite, match=r"notes\.txt"):
        write(earlier, replace=True)
    assert (earlier / "notes.txt").read_text() == "ring the client"
    assert (earlier / "plan.json").read_text() == "old"


def test_folder_of_somebody_else_is_refused_even_with_replace(tmp_path: Path) -> None:
    (tmp_path / "plan.json").write_text("mine")
    with pytest.raises(CannotWrite, match="did not write"):
        write(tmp_path, replace=True)
    assert names(tmp_path) == ["plan.json"]


def test_file_in_the_way(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file")
    with pytest.raises(CannotWrite, match="file of this name"):
        write(tmp_path / "out", replace=True)
    with pytest.raises(CannotWrite, match="output folder"):
        write(tmp_path / "out" / "below", replace=True)
    assert (tmp_path / "out").read_text() == "a file"


def test_the_folder_one_is_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(CannotWrite, match="the one you are in"):
        write(Path())


@pytest.mark.parametrize("failure", [RuntimeError("half-way"), KeyboardInterrupt()])
def test_failure_half_way_leaves_the_earlier_plan(earlier: Path, failure: BaseException) -> None:
    def fail() -> None:
        with whole_folder(earlier, replace=True) as folder:
            (folder / "plan.json").write_text("half")
            raise failure

    with pytest.raises(type(failure)):
        fail()
    assert (earlier / "plan.json").read_text() == "old"
    assert names(earlier.parent) == ["out", f"out/{CONTENTS}", "out/plan.json"]


def test_failure_half_way_leaves_nothing_new(tmp_path: Path) -> None:
    def fail() -> None:
        with whole_folder(tmp_path / "out", replace=False) as folder:
            (folder / "plan.json").write_text("half")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fail()
    assert names(tmp_path) == []


@pytest.mark.parametrize("wrapped", [False, True])
def test_full_disk_is_said_in_a_sentence(tmp_path: Path, wrapped: bool) -> None:
    """Libraries wrap the error of the disk in one of their own; the person still reads the reason."""

    def fail() -> None:
        with whole_folder(tmp_path / "out", replace=False):
            full = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            if wrapped:
                raise RuntimeError("workbook") from full
            raise full

    with pytest.raises(CannotWrite, match="room left"):
        fail()
    assert names(tmp_path) == []


def test_failed_rename_puts_the_earlier_plan_back(earlier: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rename = Path.rename

    def refuse(self: Path, target: Path) -> Path:
        if self.name.endswith(".partial"):
            raise OSError(errno.EBUSY, os.strerror(errno.EBUSY), str(self))
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refuse)
    with pytest.raises(CannotWrite, match="mount point"):
        write(earlier, replace=True)
    assert (earlier / "plan.json").read_text() == "old"
    assert names(earlier.parent) == ["out", f"out/{CONTENTS}", "out/plan.json"]


def test_place_that_may_not_be_written_to(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The system's refusal is simulated: a test run by root may write everywhere."""

    def refuse(self: Path, *_: object, **__: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(self))

    monkeypatch.setattr(Path, "mkdir", refuse)
    with pytest.raises(CannotWrite, match="may write to"):
        write(tmp_path / "out")


def test_path_no_disk_takes(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match="shorter path"):
        write(tmp_path / ("x" * 300))


@pytest.mark.skipif(
    not Path("/proc/self").exists(), reason="a place where no folder can be made: Linux's /proc"
)
def test_place_where_no_folder_can_be_made() -> None:
    with pytest.raises(CannotWrite, match="can be made"):
        write(Path("/proc/innerleaf"))
