"""Walls told in words: what is read, what is refused."""

from __future__ import annotations

import pytest

from innerleaf.design.sound.described_row import predict_row
from innerleaf.design.sound.described_wall import PredictedWall, predict_wall
from innerleaf.design.sound.model import BoardLayer, SolidLayer, board_packet, solid_wall
from innerleaf.errors import InputError
from innerleaf.physics.sound.ratings import weighted_reduction_index
from innerleaf.practice.acoustics import load_acoustics

BLOCKS = "190 mm hollow normal-weight concrete block"


def partition(framing: str, **more: object) -> PredictedWall:
    sides = {"board_side1": "1x16", "board_side2": "1x16", "absorbent": True}
    return predict_wall(framing=framing, **{**sides, **more})  # type: ignore[arg-type]


def stc(wall: PredictedWall) -> int:
    assert wall.rating.stc is not None
    return wall.rating.stc


def test_gauge_and_spacing_cost_what_was_measured() -> None:
    """Sheet of 30 instead of 18 mil at 16 instead of 24 in cost four points of STC: read, a trade journal."""
    light, heavy = partition("steel stud 92 gauge 25 at 610"), partition("steel stud 92 gauge 20 at 406")

    assert stc(light) - stc(heavy) == pytest.approx(4, abs=1)


def test_spacing_in_words_and_as_a_number() -> None:
    assert stc(partition("steel stud 92 at 406")) == stc(partition("steel stud 92", spacing_mm=406))


def test_loadbearing_steel_is_stiffer() -> None:
    assert stc(partition("loadbearing steel stud 150")) < stc(partition("steel stud 150"))


def test_boards_of_a_side_may_differ() -> None:
    mixed = partition("steel stud 92", board_side1="1x13+1x16F", board_side2="2x12.5")

    assert stc(mixed) > stc(partition("steel stud 92"))
    assert stc(partition("steel stud 92", board_mass=20.0)) > stc(partition("steel stud 92"))


def test_a_lining_promises_no_more_than_it_gains() -> None:
    free = predict_wall(
        base_wall=BLOCKS, framing="free-standing studs", cavity_mm=75, absorbent=True, board_side1="2x12.5"
    )
    battens = predict_wall(
        base_wall=BLOCKS, framing="wood furring 40 mm", absorbent=True, board_side1="1x12.5"
    )
    shallow = predict_wall(base_wall=BLOCKS, framing="resilient channel", cavity_mm=9, board_side1="1x9.5")

    assert free.gain is not None
    assert free.promised is not None
    assert 0 < free.promised < free.gain
    assert battens.promised == 0
    assert shallow.promised is not None
    assert shallow.promised <= 0


@pytest.mark.parametrize("framing", ["bracketed channels", "bracketed channels, elastic", "channels 27"])
def test_linings_that_nobody_measured_are_predicted_too(framing: str) -> None:
    wall = predict_wall(base_wall=BLOCKS, framing=framing, cavity_mm=60, absorbent=True, board_side1="1x12.5")

    assert wall.gain is not None
    assert wall.promised is not None
    assert wall.promised <= wall.gain
    assert "frame" in wall.read_as[0]


def test_a_measured_rw_moves_the_spectrum() -> None:
    acoustics = load_acoustics()
    at = acoustics.workmanship["laboratory"]
    layers = [
        SolidLayer(material="lime-render", thickness_mm=15),
        SolidLayer(material="brick-1800", thickness_mm=240),
        SolidLayer(material="lime-render", thickness_mm=15),
    ]
    one, other = solid_wall(layers, acoustics, at), solid_wall(layers, acoustics, at, rated=52.0)

    moved = other.index - one.index
    assert moved == pytest.approx(moved[0])
    assert int(weighted_reduction_index(other.index)) in (51, 52)  # within the rounding of 0.1 dB
    assert "measured" in other.working


def test_open_pores_cost_what_paint_and_plaster_save() -> None:
    """Where faces are sealed the pores do not count; brick has none."""
    for words in ("hollow cinder block painted", "solid breeze block plastered 12 mm both sides"):
        sealed = predict_wall(base_wall=words, thickness_mm=100, surface_mass=100)
        open_ = predict_wall(
            base_wall=words.replace("painted", "unpainted").replace(
                "plastered 12 mm both sides", "unplastered"
            ),
            thickness_mm=100,
            surface_mass=100,
        )
        assert 3 <= sealed.rating.rw - open_.rating.rw <= 8
    brick, plastered = (
        predict_wall(base_wall=f"100 mm brick wall {how}", surface_mass=200) for how in ("unplastered", "")
    )
    assert brick.rating.rw == plastered.rating.rw


def test_ties_of_a_cavity_wall_are_stiff_unless_wire_is_told() -> None:
    words = "brick cavity wall 60 mm cavity"
    wire, strip, unknown = (
        predict_wall(base_wall=f"{words}{ties}", thickness_mm=290, surface_mass=400).rating.rw
        for ties in (" wire ties", " strip ties", "")
    )

    assert strip == unknown < wire


def test_a_cavity_wall_may_be_lined() -> None:
    base = "brick cavity wall 56 mm cavity wire ties"
    lined = predict_wall(
        base_wall=base,
        thickness_mm=300,
        surface_mass=380,
        framing="free-standing studs",
        cavity_mm=75,
        absorbent=True,
        board_side1="2x12.5",
    )

    assert lined.kind == "lining-one-side"
    assert lined.gain is not None
    assert 5 < lined.gain < 20


def test_one_board_alone() -> None:
    one, two = (
        predict_row({"kind": "leaf", "construction": words, "thickness_mm": "", "surface_mass": ""})
        for words in ("13 mm plasterboard", "2 layers 13 mm plasterboard")
    )

    assert 3 <= two.rating.rw - one.rating.rw <= 6


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({"base_wall": "brick cavity wall", "thickness_mm": 300.0}, "depth of the cavity"),
        ({"base_wall": "brick cavity wall 56 mm cavity", "thickness_mm": 50.0}, "more than the cavity"),
        ({"framing": "rope", "board_side1": "1x13"}, "framing"),
        ({"framing": "steel stud 90", "board_side1": "two boards"}, "boards"),
        ({"framing": "steel stud 90", "board_side1": ""}, "boards"),
        ({"framing": "steel stud 90", "board_side1": "1x13Q"}, "kind of board"),
        ({"framing": "steel stud 90", "board_side1": "1x13", "cavity_mm": -1.0}, "cavity"),
        ({"base_wall": "a wall of 200 mm straw"}, "base_wall"),
        ({"base_wall": "brick"}, "thickness"),
        ({"base_wall": BLOCKS, "framing": "glue", "board_side1": "1x13"}, "framing"),
    ],
)
def test_words_that_name_no_wall(told: dict[str, object], field: str) -> None:
    with pytest.raises(InputError, match=field):
        predict_wall(**told)  # type: ignore[arg-type]


def test_kinds_without_figures() -> None:
    acoustics = load_acoustics()

    with pytest.raises(InputError, match="kind of board"):
        board_packet([BoardLayer(kind="X", thickness_mm=12.5)], acoustics)
    with pytest.raises(InputError, match="material"):
        solid_wall(
            [SolidLayer(material="straw", thickness_mm=200)], acoustics, acoustics.workmanship["laboratory"]
        )


def test_a_row_without_boards_or_measures() -> None:
    row = {"kind": "partition", "construction": "stud partition", "thickness_mm": "", "surface_mass": ""}
    with pytest.raises(InputError, match="construction"):
        predict_row(row)
    with pytest.raises(InputError, match="construction"):
        predict_row({**row, "kind": "leaf", "construction": "a board"})
