"""Plot measured and predicted walls: `sound_plot.py docs/img/sound-walls.svg`.

Prints the tables of docs/sound.md.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent))  # the measured walls belong to the tests

from tests.validation.sound_walls import Case, octave_cases, octaves_of, rated_cases

LOW, HIGH, STEP = 30, 70, 10
SIDE, EDGE = 420, 50  # drawn square and the border for its words
KINDS = {
    "framed": ("framed walls", "circle"),
    "lining-one-side": ("lining on one side", "square"),
    "lining-both-sides": ("lining on both sides", "diamond"),
    "solid": ("solid walls", "cross"),
    "cavity-wall": ("cavity walls", "bar"),
}
WORST = 8


def main(path: Path) -> None:
    """Draw, then print."""
    rated, spectra = rated_cases(), octave_cases()
    unprinted = [case for case in spectra if not case.row["STC"] or "Rossing" in case.row["source"]]
    path.write_text(svg([*rated, *unprinted]), encoding="utf-8")
    for title, cases in (("STC", rated), ("Rw from octaves", spectra)):
        for kind in KINDS:
            errors = [case.error for case in cases if case.predicted.kind == kind]
            if errors:
                rms = np.sqrt(np.mean(np.square(errors)))
                most = max(map(abs, errors))
                print(f"{title} | {kind} | {len(errors)} | {rms:.1f} | {np.mean(errors):+.1f} | {most}")
    print("worst:")
    for case in sorted([*rated, *spectra], key=lambda case: -abs(case.error))[:WORST]:
        print(f"{case.error:+d} | {case.measured_rating} | {case.name}")
    for kind in KINDS:
        found = [
            case.predicted.octaves - octaves_of(case.row) for case in spectra if case.predicted.kind == kind
        ]
        if found:
            print(kind, "octaves rms", np.sqrt(np.nanmean(np.square(found), axis=0)).round(1))


def svg(cases: Sequence[Case]) -> str:
    """Measured along, predicted up; the line of no error and a band of 4 dB."""
    size = SIDE + 2 * EDGE
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size} {size + 30}" font-family="sans-serif" '
        'font-size="13" text-anchor="middle">',
        f'<rect width="{size}" height="{size + 30}" fill="#fff"/>',
        f'<path d="M{x(LOW)} {y(LOW + 4)}L{x(HIGH - 4)} {y(HIGH)}L{x(HIGH)} {y(HIGH)}L{x(HIGH)} {y(HIGH - 4)}'
        f'L{x(LOW + 4)} {y(LOW)}L{x(LOW)} {y(LOW)}z" fill="#ececec"/>',
        f'<path d="M{x(LOW)} {y(LOW)}L{x(HIGH)} {y(HIGH)}" stroke="#888"/>',
        f'<rect x="{x(LOW)}" y="{y(HIGH)}" width="{SIDE}" height="{SIDE}" fill="none" stroke="#000"/>',
    ]
    for value in range(LOW, HIGH + 1, STEP):
        parts.append(f'<text x="{x(value)}" y="{y(LOW) + 18}">{value}</text>')
        parts.append(f'<text x="{x(LOW) - 16}" y="{y(value) + 4}">{value}</text>')
    parts.append(f'<text x="{x((LOW + HIGH) / 2)}" y="{y(LOW) + 38}">measured, dB</text>')
    parts.append(
        f'<text transform="translate({x(LOW) - 34} {y((LOW + HIGH) / 2)}) rotate(-90)">predicted, dB</text>'
    )
    for case in cases:
        mark = KINDS[case.predicted.kind][1]
        if LOW <= case.measured_rating <= HIGH and LOW <= case.predicted_rating <= HIGH:
            parts.append(marked(mark, x(case.measured_rating), y(case.predicted_rating)))
    for number, (words, mark) in enumerate(KINDS.values()):
        across = EDGE - 30 + number * SIDE / 3.9
        parts.append(marked(mark, across, size + 12))
        parts.append(
            f'<text x="{across + 9}" y="{size + 16}" text-anchor="start" font-size="11">{words}</text>'
        )
    return "\n".join([*parts, "</svg>\n"])


def x(value: float) -> float:
    """Along. [px]"""
    return EDGE + (value - LOW) / (HIGH - LOW) * SIDE


def y(value: float) -> float:
    """Up. [px]"""
    return EDGE + (HIGH - value) / (HIGH - LOW) * SIDE


def marked(mark: str, across: float, up: float) -> str:
    """One wall."""
    style = 'fill="#000" fill-opacity="0.35" stroke="#000"'
    if mark == "circle":
        return f'<circle cx="{across:.1f}" cy="{up:.1f}" r="4" {style}/>'
    if mark == "square":
        return f'<rect x="{across - 4:.1f}" y="{up - 4:.1f}" width="8" height="8" {style}/>'
    if mark == "diamond":
        return f'<path d="M{across:.1f} {up - 6:.1f}l6 6l-6 6l-6 -6z" {style}/>'
    lines = "l8 8m0 -8l-8 8" if mark == "cross" else "m0 4l8 0m-8 3l8 0"
    return f'<path d="M{across - 4:.1f} {up - 4:.1f}{lines}" stroke="#000" fill="none"/>'


if __name__ == "__main__":
    main(Path(sys.argv[1]))
