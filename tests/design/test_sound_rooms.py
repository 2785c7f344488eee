"""From room to room by band: against the worked building of the standard, and what holds for any rooms."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.layout.plain import PRACTICE, wall

from innerleaf.design.record_sound import record_sound
from innerleaf.design.sound.flanks import Surroundings, surroundings_of
from innerleaf.design.sound.model import Solid, SolidLayer, solid_wall
from innerleaf.design.sound.rooms_by_band import Heard, heard_by_band
from innerleaf.design.sound.verdicts import Sound
from innerleaf.design.sound.wall import sound_of
from innerleaf.layout.plan import plan_wall
from innerleaf.physics.sound.bands import THIRDS
from innerleaf.physics.sound.flanking import RoomToRoom, SeparatingWall, room_to_room
from innerleaf.practice.acoustics import load_acoustics
from innerleaf.survey.separates import Flank, FlankLayer, Separates
from innerleaf.survey.wall import ExistingLayer, Targets

ACOUSTICS = load_acoustics()
NO_LINING = (0.0,) * len(THIRDS)
CONCRETE = (FlankLayer(material="concrete-2400", thickness_mm=120),)


def flank(side: str, mass: float, junction: str, rw: float, material: str, area: float, length: int) -> Flank:
    """A flank of one layer that weighs what is said."""
    thickness = 1000 * mass / PRACTICE.materials[material].density_kg_m3
    return Flank(
        side=side,
        mass_kg_m2=mass,
        junction=junction,
        area_m2=area,
        length_mm=length,
        rw_db=rw,
        law="",
        gain_db=0.0,
        gain_beyond_db=0.0,
        layers=(FlankLayer(material=material, thickness_mm=thickness),),
    )


# EN 12354-1:2000 annex H.3 (tests/validation/test_sound_flanking.py); not printed with it: materials, and the
# depth of the rooms, 4.35 m by their volume.
ANNEX_H3 = (
    flank("floor", 287, "rigid cross", 49, "concrete-2400", 19.6, 4500),
    flank("ceiling", 230, "rigid cross", 46, "concrete-2400", 19.6, 4500),
    flank("left", 175, "rigid T", 42, "calcium-silicate-1800", 11.1, 2550),
    flank("right", 67, "flexible flank", 33, "gypsum-plaster-1000", 11.1, 2550),
)


def annex_h3(flanks: tuple[Flank, ...] = ANNEX_H3) -> tuple[Solid, Surroundings]:
    layer = SolidLayer(material="concrete-2400", thickness_mm=1000 * 460 / 2400, mass_kg_m2=460)
    solid = solid_wall([layer], ACOUSTICS, ACOUSTICS.workmanship["laboratory"], rated=57.0)
    around = Separates(area_m2=11.5, volume_m3=50.0, flanks=flanks)
    return solid, surroundings_of(around, 460, PRACTICE, ACOUSTICS)


def by_band(flanks: tuple[Flank, ...] = ANNEX_H3, gain: tuple[float, ...] = NO_LINING) -> Heard:
    solid, rooms = annex_h3(flanks)
    heard = heard_by_band("wall", solid, gain, rooms)
    assert isinstance(heard, Heard)
    return heard


def by_single_numbers() -> RoomToRoom:
    _, rooms = annex_h3()
    return room_to_room(SeparatingWall(name="wall", r=(57.0,), area=rooms.area), rooms.junctions)


def test_annex_h3_by_band_and_by_single_numbers() -> None:
    """R'w 52.2 is printed: within the 2 dB of the simplified model, thirteen ways each."""
    detailed, single = by_band().effect.before, by_single_numbers()

    assert single.rw == pytest.approx(52.2, abs=0.15)
    assert detailed.rw == pytest.approx(single.rw, abs=2.0)
    assert len(detailed.paths) == len(single.paths) == 13
    assert detailed.limiting.route == single.limiting.route == "Dd"
    for there, here in zip(detailed.paths, single.paths, strict=True):
        if "right" not in there.along:  # the light wall, which carries next to nothing
            assert detailed.rating_of(there) == pytest.approx(here.r[0], abs=3.5)


def test_ways_add_up_in_every_band() -> None:
    rooms = by_band().effect.before
    energies = 10.0 ** (-np.array([path.r for path in rooms.paths]) / 10)

    assert rooms.r == pytest.approx(-10 * np.log10(energies.sum(axis=0)))
    assert sum(path.share for path in rooms.paths) == pytest.approx(100)
    assert rooms.bands == THIRDS


def test_a_lining_of_the_wall_leaves_the_flanks_as_they_are() -> None:
    """12 dB in every band act on Dd and Fd, 12 dB each; the rooms gain less."""
    effect = by_band(gain=(12.0,) * len(THIRDS)).effect
    for was, now in zip(effect.before.paths, effect.after.paths, strict=True):
        touched = 12.0 if was.route in ("Dd", "Fd") else 0.0
        assert np.subtract(now.r, was.r) == pytest.approx(touched)

    assert 0 < effect.gain < effect.most < 12


def test_a_flank_whose_layers_are_not_said_keeps_its_rw() -> None:
    """It gets a usual spectrum; what is said of it is its rating."""
    bare = replace(ANNEX_H3[2], layers=())
    heard = by_band((*ANNEX_H3[:2], bare, ANNEX_H3[3]))

    assert any(
        line == "left side wall: by band like the heavy wall of ISO 717-1, moved to Rw 42.0 dB"
        for line in heard.working
    )
    assert heard.effect.before.rw == pytest.approx(by_band().effect.before.rw, abs=2.0)


def test_what_is_not_known_is_told_and_single_numbers_stay() -> None:
    solid, rooms = annex_h3(tuple(replace(each, layers=()) for each in ANNEX_H3))
    soft = (FlankLayer(material="mineral-wool", thickness_mm=100),)
    solid_too, softly = annex_h3((replace(ANNEX_H3[0], layers=soft),))

    assert heard_by_band("wall", solid, NO_LINING, rooms) == (
        "by single numbers: of no flank does the job say what it is made of"
    )
    assert str(heard_by_band("wall", solid_too, NO_LINING, softly)).startswith(
        "by single numbers: of no flank"
    )
    _, known = annex_h3()
    assert heard_by_band("wall", solid, NO_LINING, known, one_leaf=False) == (
        "by single numbers: the wall is of two leaves"
    )


def test_a_wall_as_set_out_has_both_in_its_record() -> None:
    asked = wall(
        construction=(ExistingLayer(material="brick-1800", thickness_mm=240),),
        targets=Targets(sound_gain_db=8),
        separates=Separates(area_m2=11.5, volume_m3=50.0, flanks=ANNEX_H3),
        other_side="neighbour",
    )
    sound = sound_of(plan_wall(asked, PRACTICE), PRACTICE)
    assert isinstance(sound, Sound)
    rooms = record_sound(sound).rooms
    assert rooms

    assert rooms.method == "by third-octave band"
    assert rooms.bands_hz == THIRDS
    assert len(rooms.r_before) == len(rooms.r_after) == len(THIRDS)
    assert rooms.rw_after > rooms.rw_before
    assert rooms.rw_after == pytest.approx(rooms.rw_single_after, abs=3.0)
    assert rooms.rw_at_best > rooms.rw_after
    assert sum(path.share_after for path in rooms.paths) == pytest.approx(100)
    assert any(note.startswith("by single numbers: R'w") for note in sound.notes)
