"""Sound from room to room: laws of the two models, linings, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from innerleaf.errors import InputError
from innerleaf.physics.sound.bands import THIRDS
from innerleaf.physics.sound.flanking import Element, Junction, SeparatingWall, Side, joined, room_to_room
from innerleaf.physics.sound.lining_effect import effect_of_lining

FLOOR = Element(name="floor", r=(49.0,), area=20.0)
WALL = SeparatingWall(name="wall", r=(52.0,), area=11.5)
indices = st.floats(-5.0, 30.0)


def edge(flank: Element = FLOOR, k: tuple[float, ...] = (8.0,), length: float = 4.5) -> Junction:
    return Junction(name=flank.name, length=length, source=flank, receiving=flank, k_ff=k, k_fd=k, k_df=k)


def by_band(r: float = 50.0, **more: object) -> Element:
    return Element(name="floor", r=(r,) * 21, area=20.0, **more)  # type: ignore[arg-type]


def test_without_flanks_the_wall_is_all_there_is() -> None:
    rooms = room_to_room(WALL, [])

    assert rooms.rw == 52
    assert rooms.paths[0].share == 100
    assert rooms.at_best("receiving") == np.inf
    assert (
        "No path leads round the wall."
        in effect_of_lining(WALL, [], improvement=(10.0,), side="source").sentences()
    )


@given(st.lists(indices, min_size=1, max_size=4))
def test_flanks_only_ever_take_away(ks: list[float]) -> None:
    rooms = room_to_room(WALL, [edge(k=(k,)) for k in ks])

    assert rooms.rw < 52
    assert sum(path.share for path in rooms.paths) == pytest.approx(100)


@given(indices, st.sampled_from(["source", "receiving", "both"]), st.floats(0.0, 30.0))
def test_a_lining_gains_no_more_than_a_perfect_one(k: float, side: Side, improvement: float) -> None:
    effect = effect_of_lining(WALL, [edge(k=(k,))], improvement=(improvement,), side=side)

    assert -1e-9 <= effect.gain <= effect.most


@given(indices)
def test_the_rooms_can_change_places(k: float) -> None:
    """Sound goes as well from one room to the other as back."""
    lined = replace(WALL, on_source_side=(9.0,))
    junction = Junction(
        name="floor",
        length=4.5,
        source=replace(FLOOR, improvement=(5.0,)),
        receiving=FLOOR,
        k_ff=(k,),
        k_fd=(k + 1,),
        k_df=(k + 3,),
    )
    back = replace(
        junction, source=junction.receiving, receiving=junction.source, k_fd=junction.k_df, k_df=junction.k_fd
    )
    lined_back = replace(WALL, on_receiving_side=(9.0,))

    assert room_to_room(lined, [junction]).rw == pytest.approx(room_to_room(lined_back, [back]).rw)


def test_a_lining_on_the_flank_acts_on_its_own_paths() -> None:
    """On the floor of the receiving room: Ff and Df rise, Fd and Dd stay."""
    bare = room_to_room(WALL, [edge()])
    junction = replace(edge(), receiving=replace(FLOOR, improvement=(10.0,)))
    lined = room_to_room(WALL, [junction])
    risen = {new.route: new.r[0] - old.r[0] for new, old in zip(lined.paths, bare.paths, strict=True)}

    assert risen == pytest.approx({"Dd": 0, "Ff": 10, "Fd": 0, "Df": 10})


def test_linings_at_both_ends_of_a_path_count_by_half() -> None:
    junction = edge(replace(FLOOR, improvement=(10.0,)))
    bare, lined = room_to_room(WALL, [edge()]), room_to_room(WALL, [junction])

    assert lined.paths[1].r[0] - bare.paths[1].r[0] == pytest.approx(15)


def test_a_worse_lining_is_said_to_be_worse() -> None:
    effect = effect_of_lining(WALL, [edge()], improvement=(-5.0,), side="receiving")

    assert effect.gain < -2
    assert "(-" in effect.sentences()[1]


def test_kij_below_the_least_counts_as_the_least() -> None:
    """10 lg(4.5·(1/20 + 1/20)) = -3.47 dB on the way Ff."""
    loose = room_to_room(WALL, [edge(k=(-9.0,))]).paths[1].r[0]

    assert loose == pytest.approx(49 - 3.47 + 10 * np.log10(11.5 / 4.5), abs=0.01)


def test_bands_of_light_elements_are_the_simplified_model_in_each_band() -> None:
    """a = S/1 m: Dv + 10 lg(S/√(Si Sj)) is Kij + 10 lg(S/l), as long as Dv is positive."""
    wall = SeparatingWall(name="wall", r=(52.0,) * 21, area=11.5)
    many = room_to_room(wall, [edge(by_band(49.0), k=(20.0,))])
    one = room_to_room(WALL, [edge(k=(20.0,))])

    for several, single in zip(many.paths, one.paths, strict=True):
        assert several.r == pytest.approx([single.r[0]] * 21)
        assert several.share == pytest.approx(single.share)
    assert many.bands == THIRDS


def test_bands_by_hand() -> None:
    """Dv = 8 - 10 lg(4.5/√(6·6)) = 9.25; 50 + 9.25 + 10 lg(11.5/20) = 56.85."""
    wall = SeparatingWall(name="wall", r=(50.0,) * 21, area=11.5, absorption_length=(6.0,))
    rooms = room_to_room(wall, [edge(by_band(50.0, absorption_length=(6.0,) * 21))])

    assert rooms.paths[1].r == pytest.approx([56.85] * 21, abs=0.005)


def test_linings_by_band_add_up() -> None:
    """In the detailed model nothing is halved."""
    wall = SeparatingWall(
        name="wall", r=(50.0,) * 21, area=10.0, on_source_side=(8.0,), on_receiving_side=(6.0,) * 21
    )

    assert room_to_room(wall, []).r == pytest.approx([64.0] * 21)


def test_a_difference_across_a_junction_is_never_negative() -> None:
    rooms = room_to_room(
        SeparatingWall(name="wall", r=(50.0,) * 21, area=20.0, absorption_length=(1.0,)),
        [edge(by_band(50.0, absorption_length=(1.0,)), k=(-5.0,))],
    )

    assert rooms.paths[1].r == pytest.approx([50.0] * 21)


def test_a_junction_by_masses_has_the_indices_of_its_kind() -> None:
    """At 500 Hz for single numbers, by band otherwise; two layers add 20 lg(f/125) to the way Ff."""
    alone = joined("flexible flank", wall_mass=300, flank_mass=300, length=2.5, source=FLOOR)
    bands = joined(
        "flexible flank", wall_mass=300, flank_mass=300, length=2.5, source=by_band(), bands=THIRDS
    )

    assert alone.receiving is FLOOR
    assert alone.k_ff == pytest.approx((5.7 + 20 * np.log10(4),))
    assert alone.k_fd == alone.k_df == pytest.approx((5.7 + 10 * np.log10(4),))
    assert bands.k_ff[THIRDS.index(500)] == pytest.approx(alone.k_ff[0])
    assert len(bands.k_fd) == len(THIRDS)


def test_level_difference_of_the_room() -> None:
    """A room of S/0.32 m³ has DnT,w = R'w."""
    assert room_to_room(WALL, []).standardized(11.5 / 0.32) == pytest.approx(52)


def test_rooms_that_cannot_be() -> None:
    with pytest.raises(InputError, match=r"wall, r: given \(nan,\)"):
        SeparatingWall(name="wall", r=(float("nan"),), area=10)
    with pytest.raises(InputError, match=r"floor, area: given 0"):
        replace(FLOOR, area=0)
    with pytest.raises(InputError, match=r"floor, improvement by a lining: .*1 or 1"):
        replace(FLOOR, improvement=(1.0, 2.0))
    with pytest.raises(InputError, match=r"floor, absorption length"):
        replace(FLOOR, absorption_length=(0.0,))
    with pytest.raises(InputError, match=r"floor, length: given -1"):
        edge(length=-1)
    with pytest.raises(InputError, match=r"floor, r: given 21, accepted: 1 values"):
        room_to_room(WALL, [edge(by_band())])
    with pytest.raises(InputError, match=r"junction floor, Kij"):
        room_to_room(WALL, [edge(k=(1.0, 2.0))])
    with pytest.raises(InputError, match=r"volume: given 0"):
        room_to_room(WALL, []).standardized(0)
