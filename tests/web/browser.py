"""A browser for the tests: the system's Chromium, which may ask this machine and nobody else."""

from __future__ import annotations

import importlib.resources
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, Page, Route, sync_playwright
from tests.conftest import need_tool

_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@contextmanager
def browser(folder: Path, **settings: Any) -> Iterator[BrowserContext]:
    """A browser with a profile of its own; it fails the test if a page asks for an address elsewhere."""
    with browsers(folder, **settings) as (context,):
        yield context


@contextmanager
def browsers(*folders: Path, **settings: Any) -> Iterator[tuple[BrowserContext, ...]]:
    """Browsers side by side, each with the profile in a folder of its own: so many devices."""
    program = need_tool("chromium")
    elsewhere: list[str] = []

    def only_here(route: Route) -> None:
        if route.request.url.startswith(("http://127.0.0.1", "data:", "blob:")):
            route.continue_()
        else:
            elsewhere.append(route.request.url)
            route.abort()

    with sync_playwright() as playing, ExitStack() as closing:
        contexts = []
        for folder in folders:
            context = playing.chromium.launch_persistent_context(
                str(folder), executable_path=program, headless=True, args=_FLAGS, **settings
            )
            closing.callback(context.close)
            context.set_default_timeout(20_000)
            context.route("**/*", only_here)
            contexts.append(context)
        yield tuple(contexts)
    assert elsewhere == []


def watched(context: BrowserContext) -> tuple[Page, list[str]]:
    """A page, and what its scripts complain of."""
    page, complaints = context.pages[0], list[str]()
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("console", lambda line: complaints.append(line.text) if line.type == "error" else None)
    return page, complaints


def barriers(page: Page) -> list[str]:
    """What keeps people out, by the rules of WCAG 2.2 AA that a program can judge."""
    rules = (importlib.resources.files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
    page.evaluate(rules + ";0")
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
    found = page.evaluate("tags => axe.run(document, {runOnly: tags})", tags)
    return [
        f"{one['id']}: {one['help']} ({', '.join(str(node['target']) for node in one['nodes'][:4])})"
        for one in found["violations"]
    ]
