"""The house rules: directions, sizes, quick start, documentation that is complete.

The import contracts themselves run in `make test` (lint-imports); here is what they cannot say.
"""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from innerleaf.findings import FINDING_CODES

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
GREATEST_LINES = 400
LONGER_FOR_A_REASON: dict[str, str] = {}  # path below src/innerleaf: why it is not split

HEAVY = ("pydantic", "shapely", "numpy", "typst", "ezdxf", "xlsxwriter", "rich", "yaml")


def modules_after(*arguments: str) -> set[str]:
    """Top names of the modules loaded once the command line has answered."""
    script = (
        "import sys; from innerleaf import cli; sys.argv = ['innerleaf', *sys.argv[1:]]\n"
        "try: cli.main()\n"
        "except SystemExit: pass\n"
        "print('\\n' + ' '.join({name.partition('.')[0] for name in sys.modules}))"
    )
    command = [sys.executable, "-c", script, *arguments]
    answer = subprocess.run(command, capture_output=True, text=True, check=True)
    return set(answer.stdout.splitlines()[-1].split())


@pytest.mark.parametrize("arguments", [["--help"], ["--version"], ["plan", "--help"]])
def test_help_loads_nothing_heavy(arguments: list[str]) -> None:
    """Help answers in a blink only as long as no heavy library is imported for it."""
    assert modules_after(*arguments) & set(HEAVY) == set()


def test_files_stay_readable() -> None:
    """A file over 400 lines is split by meaning, or listed with the reason."""
    package = ROOT / "src" / "innerleaf"
    too_long = {
        path.relative_to(package).as_posix()
        for path in package.rglob("*.py")
        if len(path.read_text("utf-8").splitlines()) > GREATEST_LINES
    }
    assert too_long == set(LONGER_FOR_A_REASON)


def test_every_finding_has_its_paragraph() -> None:
    """Each code has a heading with its line from `findings.py`, and words below it."""
    sections = re.split(r"^### ", (DOCS / "findings.md").read_text("utf-8"), flags=re.MULTILINE)[1:]
    written = {section.split("\n", 1)[0]: section.split("\n", 1)[1].strip() for section in sections}

    assert list(written) == [f"{code} {line}" for code, line in FINDING_CODES.items()]
    assert all(len(words) > 80 for words in written.values())


def links_of(page: Path) -> set[Path]:
    """Pages and pictures of this repository that a page points to."""
    found = re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", page.read_text("utf-8"))
    return {(page.parent / link).resolve() for link in found if "://" not in link}


def pages() -> list[Path]:
    return sorted([*DOCS.rglob("*.md"), *ROOT.glob("*.md"), *(ROOT / "changes").glob("*.md")])


def test_every_page_can_be_reached_from_the_index() -> None:
    reached: set[Path] = set()
    waiting = [DOCS / "index.md"]
    while waiting:
        page = waiting.pop().resolve()
        if page not in reached and page.suffix == ".md":
            reached.add(page)
            waiting += links_of(page)
    assert {page.resolve() for page in DOCS.rglob("*.md")} <= reached


@pytest.mark.parametrize("page", pages(), ids=lambda page: page.relative_to(ROOT).as_posix())
def test_links_lead_somewhere(page: Path) -> None:
    assert {link for link in links_of(page) if not link.exists()} == set()


def test_lock_holds_hashes_and_no_address() -> None:
    """A lock with an address ties everybody to one registry, and may show who made it."""
    lock = (ROOT / "requirements.txt").read_text("utf-8")
    package = r"^[A-Za-z][^\n]*(?:\\\n +--hash=sha256:[0-9a-f]{64}[^\n]*)+"
    packages = re.findall(package, lock, flags=re.MULTILINE)

    assert "://" not in lock
    assert "@ " not in lock
    assert len(packages) == len(re.findall(r"^[A-Za-z]", lock, flags=re.MULTILINE)) > 40
