"""The browser's scripts: their types hold, they reach nothing outside, their texts are all there."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest
from tests.conftest import missing

import innerleaf.web
from innerleaf.web.words import words_of

WEB = Path(innerleaf.web.__file__).parent
SCRIPTS = sorted((WEB / "static").glob("*.js"))
TEMPLATES = sorted((WEB / "templates").glob("*.html"))
_CHECKER = Path(__file__).parent / "node" / "node_modules" / ".bin" / "tsc"
_STRICT = ["--noEmit", "--allowJs", "--checkJs", "--strict", "--moduleDetection", "force"]
_LANGUAGE = ["--target", "es2023", "--module", "esnext", "--lib", "es2023,dom,dom.iterable"]


def test_the_types_of_the_scripts_hold() -> None:
    if not _CHECKER.exists():
        missing("the type checker of the scripts")
    told = subprocess.run(
        [_CHECKER, *_STRICT, *_LANGUAGE, *SCRIPTS], capture_output=True, text=True, check=False
    )
    assert told.stdout + told.stderr == ""


@pytest.mark.parametrize(
    "file", [*SCRIPTS, *TEMPLATES, *(WEB / "static").glob("*.css")], ids=lambda file: file.name
)
def test_nothing_asks_for_an_address_elsewhere(file: Path) -> None:
    text = file.read_text(encoding="utf-8").replace("http://www.w3.org/2000/svg", "")
    assert not re.search(r"https?://|//[a-z]+\.[a-z]", text)
    assert " style=" not in text
    assert "onclick" not in text


def test_every_text_that_a_page_asks_for_is_there_and_none_is_left_over() -> None:
    asked: set[str] = set()
    known = set(words_of().texts)
    their_groups = {name.partition(".")[0] for name in known}
    for file in TEMPLATES:
        text = file.read_text(encoding="utf-8")
        quoted = re.findall(r"[\"']([a-z_]+\.[a-z_0-9]+)[\"']", text)
        asked |= {name for name in quoted if name.partition(".")[0] in their_groups and name[-1] != "_"}
        groups = re.findall(r"t\.part\([\"'](\w+)", text) + re.findall(r"t\([\"'](\w+)\.\w*[\"'] ~", text)
        asked |= {name for name in known if name.partition(".")[0] in groups}
    for file in WEB.glob("*.py"):  # said by the server itself
        asked |= set(
            re.findall(r"words(?:_of\([^\n]*\))?\(\"([a-z_]+\.[a-z_]+)\"", file.read_text(encoding="utf-8"))
        )
    assert asked - known == set()
    assert known - asked == set()
