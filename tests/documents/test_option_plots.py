"""Plots of options: every option a dot where its figures say, numbers on those of the table."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from innerleaf.documents.option_plots import option_plots, round_step

FRONT: dict[str, tuple[float, ...]] = {
    "thickness": (80.0, 100.0, 140.0),
    "cost": (900.0, 700.0, 500.0),
    "u_value": (0.4, 0.35, 0.25),
}
SVG = "{http://www.w3.org/2000/svg}"


def drawn(**changes: tuple[float, ...]) -> ElementTree.Element:
    return ElementTree.fromstring(option_plots("W-01 & co", FRONT | changes, (0, 2), {"thickness": 120.0}))


def test_each_pair_of_known_figures_is_a_plot_with_all_options() -> None:
    """Thickness, cost and U make three plots; with sound there are four."""
    dots = [each for each in drawn().iter(f"{SVG}circle") if each.get("fill") == "none"]
    more = [
        each for each in drawn(sound_gain=(5.0, 6.0, 7.0)).iter(f"{SVG}circle") if each.get("fill") == "none"
    ]

    assert len(dots) == 3 * 3
    assert len(more) == 4 * 3


def test_dots_lie_where_their_figures_say() -> None:
    """The thinnest is left and, being dearest, on top; places are in proportion."""
    group = drawn().find(f"{SVG}g")
    assert group is not None
    dots = [each for each in group.iter(f"{SVG}circle") if each.get("fill") == "none"]
    (x0, y0), (x1, y1), (x2, y2) = ((float(d.get("cx", 0)), float(d.get("cy", 0))) for d in dots)

    assert x0 < x1 < x2
    assert y0 < y1 < y2
    assert (x2 - x1) / (x1 - x0) == pytest.approx(2.0, rel=0.01)
    assert (y2 - y1) / (y1 - y0) == pytest.approx(1.0, rel=0.01)


def test_those_of_the_table_have_their_numbers() -> None:
    group = drawn().find(f"{SVG}g")
    assert group is not None
    black = [each for each in group.iter(f"{SVG}circle") if each.get("fill") == "#000"]

    assert len(black) == 2
    assert [each.text for each in group.iter(f"{SVG}text")][-2:] == ["1", "2"]


def test_a_target_is_a_dashed_line() -> None:
    dashed = [each for each in drawn().iter(f"{SVG}path") if each.get("stroke-dasharray")]

    assert len(dashed) == 2  # in both plots that have thickness along x


def test_nothing_to_draw_is_said() -> None:
    text = option_plots("W-01", {}, (), {})

    assert "no lining meets all targets" in text
    ElementTree.fromstring(text)


@pytest.mark.parametrize("least", [0.0013, 0.02, 0.7, 3.0, 99.0, 101.0, 5000.0])
def test_ticks_have_round_steps(least: float) -> None:
    step = round_step(least)
    digits = f"{step:e}"[0]

    assert digits in "125"
    assert least <= step <= 2.5 * least


def test_one_option_alone_can_be_drawn() -> None:
    text = option_plots("W-01", {"thickness": (90.0,), "cost": (0.0,)}, (0,), {})

    assert text.count("<circle") == 2
