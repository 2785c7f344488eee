"""The page of a wall in a browser, on a phone: the piece asked for is marked and in sight."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import Any

from tests.documents.test_cut_list import PLANS
from tests.documents.test_wall_page import page_of
from tests.web.browser import barriers, browser, watched

from innerleaf.documents.view import short
from innerleaf.layout.pieces import WallPlan

PHONE = {"viewport": {"width": 360, "height": 740}}
IN_SIGHT = """() => {
  const piece = document.querySelector(':target');
  const shape = piece.querySelector('path') || piece;
  const box = shape.getBoundingClientRect();
  return {
    name: piece.id,
    seen: box.right > 0 && box.left < innerWidth && box.bottom > 0 && box.top < innerHeight,
    fill: getComputedStyle(shape).fill,
    said: [...piece.querySelectorAll('.say')].map(said => getComputedStyle(said).display),
    wider: document.documentElement.scrollWidth > innerWidth,
  };
}"""


@contextmanager
def served(page: str) -> Iterator[str]:
    """An address on this machine where the page stands."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.end_headers()
            self.wfile.write(page.encode())

        def log_message(self, *_said: Any) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/W-03.html"
    finally:
        server.shutdown()
        server.server_close()


def a_few_pieces() -> WallPlan:
    """A wall with some of its pieces: what is asked of the page does not hang on their number."""
    plan = PLANS[0]
    studs = sorted((bar for bar in plan.bars if bar.member), key=lambda bar: bar.ax_mm)
    face = [board for board in plan.boards if board.plane == "face"]
    reveals = [board for board in plan.boards if board.plane != "face"]
    return replace(plan, bars=(studs[0], studs[-1]), boards=(face[0], face[-1], reveals[0]))


def test_a_phone_shows_the_piece_of_the_label(tmp_path: Path) -> None:
    plan = a_few_pieces()
    last_stud, (_, board, reveal) = plan.bars[-1], plan.boards

    with served(page_of(plan)) as address, browser(tmp_path, **PHONE) as context:
        page, complaints = watched(context)
        for mark in (last_stud.mark, board.mark, reveal.mark):
            page.goto("about:blank")
            page.goto(f"{address}#{short(mark, plan.wall.id)}")
            found = page.evaluate(IN_SIGHT)
            assert found["name"] == short(mark, plan.wall.id)
            assert found["seen"]
            assert not found["wider"]
            assert found["said"] == ([] if mark == reveal.mark else ["inline"])
            if mark != reveal.mark:
                assert found["fill"] == "rgb(194, 65, 12)"
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            assert barriers(page) == []
        assert [line for line in complaints if "favicon" not in line] == []
