"""Every text of the pages comes out of a catalogue; a second one turns the pages into another language."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import yaml
from tests.web.test_scripts import SCRIPTS, TEMPLATES, WEB

from innerleaf.web import words

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

# Invented: the English in pointed brackets, with the forms of a language that counts two and few apart.
HEAD = {
    "name": "Invented",
    "decimal": ",",
    "thousands": ".",
    "plural": {"one": {"is": [1]}, "two": {"is": [2]}, "few": {"ends": [3, 4], "but": [13, 14]}},
}


@pytest.fixture
def invented(tmp_path: Path) -> Iterator[str]:
    """A second language, called `xx`, for as long as a test lasts."""
    english = yaml.safe_load((WEB / "texts" / "en.yaml").read_text(encoding="utf-8"))
    made: dict[str, object] = {"language": HEAD}
    for group, texts in english.items():
        if group != words.HEAD:
            made[group] = {name: _turned(text) for name, text in texts.items()}
    (tmp_path / "xx.yaml").write_text(yaml.safe_dump(made, allow_unicode=True), encoding="utf-8")
    words.FOLDERS.append(tmp_path)
    words.words_of.cache_clear()
    yield "xx"
    words.FOLDERS.remove(tmp_path)
    words.words_of.cache_clear()


def _turned(text: str | dict[str, str]) -> str | dict[str, str]:
    if isinstance(text, str):
        return f"‹{text}›"
    return {form: f"‹{form}: {text['other']}›" for form in ("one", "two", "few", "other")}


@pytest.mark.parametrize("file", TEMPLATES, ids=lambda file: file.name)
def test_no_template_has_words_of_its_own(file: Path) -> None:
    text = re.sub(r"{%.*?%}|{{.*?}}|{#.*?#}", "", file.read_text(encoding="utf-8"), flags=re.DOTALL)
    said = re.findall(r"(?:aria-label|title|placeholder|alt)=\"([^\"]*[A-Za-z]{2}[^\"]*)\"", text)
    text = re.sub(r"[\w-]+=\"[^\"]*\"", "", text)
    between = re.sub(r"<!?[a-z/][^>]*>", "\n", re.sub(r"<(code|kbd)>.*?</\1>", "", text), flags=re.DOTALL)
    said += [
        line.strip() for line in between.splitlines() if re.search(r"[A-Za-z]{2}", re.sub(r"&\w+;", "", line))
    ]
    assert said == []


@pytest.mark.parametrize("file", SCRIPTS, ids=lambda file: file.name)
def test_no_script_has_sentences_of_its_own(file: Path) -> None:
    text = re.sub(
        r"/\*.*?\*/|^\s*//.*$", "", file.read_text(encoding="utf-8"), flags=re.DOTALL | re.MULTILINE
    )
    literals = re.findall(r"\"([^\"\n]*)\"|'([^'\n]*)'", text)
    sentences = [
        one for pair in literals for one in pair if re.match(r"[A-Z][a-z]+ [a-z]+|[A-Z][a-z]{3,}$", one)
    ]
    keys = {"Enter", "Escape", "Home", "Delete", "Shift", "Space", "Promise", "Content"}
    assert [one for one in sentences if one not in keys and not one.startswith("Arrow")] == []


def test_the_browser_chooses_and_a_person_chooses_otherwise(client: TestClient, invented: str) -> None:
    home = client.get("/", headers={"Accept-Language": "de-CH, xx;q=0.7, en;q=0.3"})
    assert '<html lang="xx"' in home.text
    assert "‹Jobs›" in home.text
    assert "Accept-Language" in home.headers["vary"]
    chosen = client.post(
        "/manner",
        data={"language": "en", "on": "/?x=1"},
        headers={"Accept-Language": "xx"},
        follow_redirects=False,
    )
    assert chosen.headers["location"] == "/?x=1"
    again = client.get("/", headers={"Accept-Language": "xx"})
    assert '<html lang="en"' in again.text
    assert "‹Jobs›" not in again.text


def test_a_narrower_language_gets_the_wider_one(invented: str) -> None:
    assert words.best_language("xx-CH") == invented
    assert words.best_language("fr, de") == "en"
    assert words.best_language("en;q=0.2, xx;q=0.9") == invented
    assert words.best_language("xx;q=0, en") == "en"
    assert words.best_language("*;q=nonsense,,;;") == "en"


def test_counts_take_their_form_and_numbers_their_signs(invented: str) -> None:
    told = words.words_of(invented)
    forms = {
        count: told("files.revisions", count=count).partition(":")[0]
        for count in (0, 1, 2, 3, 4, 13, 23, 113)
    }
    assert forms == {
        0: "‹other",
        1: "‹one",
        2: "‹two",
        3: "‹few",
        4: "‹few",
        13: "‹other",
        23: "‹few",
        113: "‹other",
    }
    assert told.number(12345.678, 2) == "12.345,68"
    assert told("files.revisions", count=12345) == "‹other: 12.345 revisions›"
    assert words.words_of("en")("files.revisions", count=1) == "One revision"
    assert words.words_of("en").number(12345.678, 2) == "12345.68"


def test_what_a_catalogue_lacks_is_said_in_english(tmp_path: Path) -> None:
    (tmp_path / "yy.yaml").write_text("language: {name: Other}\npage: {jobs: Obj}\n", encoding="utf-8")
    words.FOLDERS.append(tmp_path)
    try:
        told = words.words_of("yy")
        assert (told("page.jobs"), told("page.building")) == ("Obj", "Building")
    finally:
        words.FOLDERS.remove(tmp_path)
        words.words_of.cache_clear()


@pytest.mark.parametrize("on", ["//elsewhere.example", "https://elsewhere.example", "/\\elsewhere"])
def test_a_choice_leads_back_to_our_own_pages_only(client: TestClient, on: str) -> None:
    answer = client.post("/manner", data={"units": "in", "on": on}, follow_redirects=False)
    assert answer.headers["location"] == "/"


def test_a_unit_that_is_none_is_refused(client: TestClient) -> None:
    assert client.post("/manner", data={"units": "ell"}).status_code == 422
    client.cookies.set("innerleaf-units", "ell")
    client.cookies.set("innerleaf-language", "../../etc")
    assert client.get("/").status_code == 200
