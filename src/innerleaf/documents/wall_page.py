"""A wall as one page for a phone or a tablet: its drawings, each piece under an address of its own.

``walls/W-01.html#S03`` shows the page with stud S03 marked and in sight. One file, no script, nothing
fetched from anywhere; the drawings are those of the sheets.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from html import escape
from typing import Final

from innerleaf.documents import boarding, framing
from innerleaf.documents.framing import bar_corners
from innerleaf.documents.labels_page import anchor_of, place_of_bar, place_of_board
from innerleaf.documents.pages import own_view, sentence
from innerleaf.documents.schedule import end_cut
from innerleaf.documents.sheet import text_width
from innerleaf.documents.title import TitleBlock
from innerleaf.documents.view import View, short
from innerleaf.layout.pieces import FACE, Bar, BoardPiece, WallPlan

_DAMP: Final = "H111"  # the finding that forbids lining
_THIN_MM: Final = 1.6  # a piece drawn narrower than this is marked so broad
_SAY_MM: Final = 4.0  # letter size of what is said beside a piece, as in the style
_OTHER_FONTS: Final = 1.18  # a phone's letters may be wider than those measured
_LARGER: Final = 1.3  # drawings on a screen, of their size on paper

_STYLE: Final = """
:root{color-scheme:light dark;--ink:#111;--back:#fff;--line:#bbb;--mark:#c2410c;--tint:#ffedd5}
*{box-sizing:border-box}
html{scroll-padding:35vh 0}
body{margin:0;padding:12px;font:16px/1.45 system-ui,sans-serif;color:var(--ink);background:var(--back)}
h1{font-size:1.5em;margin:0}h2{font-size:1.15em;margin:1.4em 0 .4em}p{margin:.2em 0}
nav a{display:inline-block;padding:8px 12px 8px 0}
a{color:inherit}
.warn{border:3px solid var(--mark);padding:8px;font-weight:700;margin:.6em 0}
.sheet{overflow:auto;scroll-padding:0 40%;border:1px solid var(--line);background:#fff}
.sheet svg{display:block;height:auto}
.p{outline:none}
.p path{fill:transparent;stroke:none}
.p:hover path{stroke:#c2410c;stroke-width:.6}
.p .say{display:none;font:4px sans-serif}
.say rect{fill:#fff;stroke:#c2410c;stroke-width:.4}
.say text:first-of-type{font-weight:700}
.p:target path{fill:#c2410c;fill-opacity:.35;stroke:#c2410c;stroke-width:1.2}
.p:target .say{display:inline}
summary{padding:8px 0}
ul{list-style:none;margin:0;padding:0}
li{padding:7px 4px;border-top:1px solid var(--line)}
li:target{background:var(--tint);outline:3px solid var(--mark)}
li a{font-weight:700;display:inline-block;min-width:5em}
small{opacity:.75}
@media (prefers-color-scheme:dark){
:root{--ink:#e8e8e8;--back:#121212;--line:#555;--mark:#fb923c;--tint:#43270f}
.sheet{filter:invert(1) hue-rotate(180deg)}
}
"""
_POLICY: Final = "default-src 'none'; style-src 'unsafe-inline'"  # nothing else is ever loaded or run

Rings = Sequence[Sequence[tuple[float, float]]]


def wall_page(plan: WallPlan, frame: str, boards: Mapping[int, str], title: TitleBlock) -> str:
    """The page of a wall; ``frame`` and ``boards`` (by layer) are its drawings as SVG."""
    wall = plan.wall
    heading = " · ".join(text for text in (wall.id, wall.name) if text)
    where = ", ".join(text for text in (wall.room, wall.storey) if text)
    links = [
        ("frame", "Frame"),
        *((f"layer-{k}", f"Boards, layer {k}") for k in boards),
        ("pieces", "Pieces"),
    ]
    view, _, height = own_view(plan, framing.SPACE)
    parts = [_drawing("frame", "Frame", frame, _bars(plan, view, height))]
    view, _, height = own_view(plan, boarding.SPACE)
    for layer, svg in boards.items():
        marks = _boards(plan, layer, view, height)
        parts.append(_drawing(f"layer-{layer}", f"Boards, layer {layer}", svg, marks))
    nav = "".join(f'<a href="#{name}">{words}</a>' for name, words in links)
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">'
        f"<title>{escape(heading)}</title><style>{_STYLE}</style></head><body>\n"
        f"<header><h1>{escape(heading)}</h1><p>{escape(where)}</p><p><small>{escape(_of_set(title))}</small></p>\n"
        f"{_findings(plan)}<nav>{nav}</nav></header>\n"
        f"<main>{''.join(parts)}{_pieces(plan, set(boards))}</main></body></html>\n"
    )


def _of_set(title: TitleBlock) -> str:
    revision = f"revision {title.revision}" if title.revision else ""
    return " · ".join(t for t in (title.project, revision, title.date, title.firm, title.statement) if t)


def _findings(plan: WallPlan) -> str:
    """What forbids lining first, then what was found, folded away."""
    damp = [f for f in plan.findings if f.code == _DAMP]
    others = [f for f in plan.findings if f.code != _DAMP]
    said = "".join(
        f'<p class="warn">DO NOT LINE THIS WALL YET. {escape(sentence(f.text[:1].upper() + f.text[1:]))}</p>'
        for f in damp
    )
    if others:
        lines = "".join(f"<li>{escape(f'{f.code}: {sentence(f.text)}')}</li>" for f in others)
        summary = f"Questions and rules not kept: {len(others)}"
        said += f"<details><summary>{summary}</summary><ul>{lines}</ul></details>"
    return said + "\n" if said else ""


def _drawing(name: str, heading: str, svg: str, marks: Iterator[str]) -> str:
    """A drawing with its pieces on top; ids inside get the drawing's name, so that two do not clash."""
    own = re.sub(r'(id="|url\(#)', rf"\1{name}-", svg.strip())
    width = re.match(r'<svg [^>]*?width="([\d.]+)mm" height="[\d.]+mm"', own)
    assert width, "a drawing of ours begins with its size"
    shown = f'{width[0].partition(" width=")[0]} style="width:{_LARGER * float(width[1]):.0f}mm"'
    own = own.replace(width[0], shown, 1)
    own = own.removesuffix("</svg>") + f"<g>{''.join(marks)}</g></svg>"
    return f'<section id="{name}"><h2>{heading}</h2><div class="sheet" tabindex="0">{own}</div></section>\n'


def _bars(plan: WallPlan, view: View, height: float) -> Iterator[str]:
    for bar in plan.bars:
        corners = bar_corners(bar, _THIN_MM * view.scale)
        yield _marked(bar.mark, plan, [view.ring(corners)], height, _bar_words(bar))


def _boards(plan: WallPlan, layer: int, view: View, height: float) -> Iterator[str]:
    for board in plan.boards:
        if board.layer == layer and board.plane == FACE:
            rings = [view.ring(ring) for ring in (board.ring, *board.holes)]
            yield _marked(board.mark, plan, rings, height, _board_words(board))


def _bar_words(bar: Bar) -> tuple[str, ...]:
    skew = end_cut(bar.skew_a_deg, bar.skew_b_deg)
    what = " · ".join(t for t in (f"{bar.item} {bar.length_mm}", str(bar.role), skew) if t)
    return what, *place_of_bar(bar)


def _board_words(board: BoardPiece) -> tuple[str, ...]:
    size = f"{board.item} {board.width_mm:.0f} × {board.length_mm:.0f}"
    return size, *place_of_board(board)


def _marked(mark: str, plan: WallPlan, rings: Rings, height: float, words: tuple[str, ...]) -> str:
    """A piece as something to point at, with what is said when it is the one asked for."""
    path = "".join("M" + "L".join(f"{x:.2f} {height - y:.2f}" for x, y in ring) + "z" for ring in rings)
    own = short(mark, plan.wall.id)
    name, link = escape(own), escape(anchor_of(mark, plan.wall.id))
    lines = (own, *words)
    return (
        f'<a class="p" id="{name}" href="#{link}"><title>{escape(", ".join(lines))}</title>'
        f'<path fill-rule="evenodd" d="{path}"/>{_said(lines, rings[0], height)}</a>'
    )


def _said(lines: Sequence[str], ring: Sequence[tuple[float, float]], height: float) -> str:
    """A box of words on a piece, or beside a small one, so that it stays in sight."""
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    x, y, half = (min(xs) + max(xs)) / 2, height - (min(ys) + max(ys)) / 2, (max(ys) - min(ys)) / 2
    wide = max(text_width(line, _SAY_MM, bold=line == lines[0]) for line in lines) * _OTHER_FONTS + 4
    row = 1.35 * _SAY_MM
    tall = row * len(lines) + 2
    above = y - half - tall - 1
    left = max(0.5, x - wide / 2)
    top = y - tall / 2 if half > tall else above if above > 0 else y + half + 1
    said = "".join(
        f'<text x="{left + 2:.2f}" y="{top + row * (k + 0.85):.2f}">{escape(line)}</text>'
        for k, line in enumerate(lines)
    )
    box = f'x="{left:.2f}" y="{top:.2f}" width="{wide:.2f}" height="{tall:.2f}"'
    return f'<g class="say"><rect {box}/>{said}</g>'


def _pieces(plan: WallPlan, drawn: set[int]) -> str:
    """All bars and boards in words; those that stand on no drawing have their address here."""
    rows = [_row(bar.mark, plan, _bar_words(bar), on_drawing=True) for bar in plan.bars]
    for board in plan.boards:
        on_drawing = board.plane == FACE and board.layer in drawn
        rows.append(_row(board.mark, plan, _board_words(board), on_drawing=on_drawing))
    return f'<section id="pieces"><h2>Pieces</h2><ul>{"".join(rows)}</ul></section>\n'


def _row(mark: str, plan: WallPlan, words: tuple[str, ...], *, on_drawing: bool) -> str:
    own, anchor = short(mark, plan.wall.id), anchor_of(mark, plan.wall.id)
    name = "" if on_drawing else f' id="{escape(own)}"'
    return f'<li{name}><a href="#{escape(anchor)}">{escape(own)}</a> {escape(" · ".join(words))}</li>'
