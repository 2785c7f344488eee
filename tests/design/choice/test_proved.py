"""What falls when judged in full: the next moves up, its like go with it, and the search ends."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.design import wet
from tests.design.choice.small import CLIMATE, PRICES, brick_wall, setting

from innerleaf.design.choice import criteria as by
from innerleaf.design.choice import proved
from innerleaf.design.choice.building import choose_building
from innerleaf.design.choice.catalogue import buyable
from innerleaf.design.choice.consider import Considered, consider
from innerleaf.design.choice.finalists import finalise
from innerleaf.design.choice.generate import Extent
from innerleaf.design.choice.objective import Choose
from innerleaf.design.choice.proved import Proofs, proved_finalists
from innerleaf.design.choice.record import record_choice
from innerleaf.design.choice.report import wall_options
from innerleaf.design.frame.wall import frame_of
from innerleaf.design.moisture.settled import SettledYears
from innerleaf.design.moisture.transient_case import Case, case_of
from innerleaf.design.moisture.transient_years import Settled
from innerleaf.design.moisture.verdicts import GAIN, MOULD, yearly_verdicts
from innerleaf.design.sound.wall import sound_of
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.plan_file import figures
from innerleaf.survey.separates import Flank, Separates
from innerleaf.survey.wall import UNCHOSEN, Targets, Wall, Way
from innerleaf.survey.wish import Wish

FEW = Extent(board_layers=2, slabs_in_a_place=1, spacings=1, air_mm=())
STUDS = Wish(way=Way.STUD_AND_TRACK)


def mould(bad: Any) -> Any:
    """Years in which some plans go mouldy."""

    def years(plan: WallPlan) -> Settled | str:
        return Settled(gain_percent=0.1, mould_index=4.0 if bad(plan) else 0.5, wood_percent=15.0)

    return years


def outside(**changes: Any) -> Wall:
    """Of layers that nobody knows, so that no heat is solved."""
    return brick_wall(2500, construction=(), targets=Targets(), **changes)


@pytest.fixture(scope="module")
def plain() -> Considered:
    return consider(outside(), STUDS, buyable(setting().practice, PRICES), setting(), FEW)


def bare(plan: WallPlan) -> bool:
    return not plan.wall.lining.membrane


def worth(considered: Considered) -> np.ndarray:
    return Choose().values(considered.evaluated.figures)


def test_the_next_moves_up_where_one_falls(plain: Considered) -> None:
    """Shown is the best of those with a membrane, in the order that all of them proved alone would have."""
    years = setting(years=mould(bare))
    proofs = Proofs(plain, years)
    shown = proved_finalists(proofs, worth(plain), 3)
    options, cost = plain.evaluated.options, worth(plain)

    assert shown
    assert all(options.membrane_given[shown])
    passed = plain.passed
    assert cost[shown[0]] == cost[passed[options.membrane_given[passed]]].min()
    assert not options.membrane_given[[fall.option for fall in proofs.falls]].any()
    assert "mould index behind the insulation 4.0, missed by 2.0" in proofs.falls[0].show()


def test_those_with_the_same_layers_fall_together(plain: Considered) -> None:
    """No proof of those that went along says otherwise."""
    years = setting(years=mould(bare))
    proofs = Proofs(plain, years)
    option = int(plain.passed[np.argmin(plain.evaluated.options.membrane_given[plain.passed])])
    assert not proofs.holds(option)

    for other in sorted(proofs.considered.fell):
        assert not finalise(plain, other, years).holds


def test_the_search_ends_and_says_so(plain: Considered, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where all fall, the one that misses least is shown, and how many were tried."""
    monkeypatch.setattr(proved, "MOST_FALLS", 3)
    years = setting(years=mould(lambda _plan: True))
    told = wall_options(plain, years, Choose())

    assert 3 <= len(told.fell) < 3 + 5  # those shown at first are tried together
    assert any("fell one after the other" in note for note in told.notes)
    assert len(told.rows) == 1
    assert told.rows[0].misses == ("mould index behind the insulation 4.0, missed by 2.0",)
    assert told.give_up[0].startswith("mould index behind the insulation at most 2.0: give way by 2.0")


def test_a_building_gives_way_where_all_fall(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(proved, "MOST_FALLS", 2)
    years = setting(years=mould(lambda _plan: True))
    found = choose_building([(outside(id="W-9"), STUDS)], years, Choose(), extent=FEW)
    (finding,) = (each for each in found.findings if each.code == "C102")

    assert "mould index" in finding.text
    assert "give way on one of: mould index behind the insulation (by 2.0)" in finding.remedy


def test_why_a_wall_is_not_followed_is_a_note(plain: Considered) -> None:
    found = finalise(plain, 0, setting(years=lambda _plan: "nothing is known of the water in brick"))

    assert found.notes == (
        "not followed through the years (EN 15026): nothing is known of the water in brick",
    )


def between_rooms(gain: float) -> Wall:
    """A wall towards a neighbour on a heavy floor that goes through."""
    flank = Flank(
        side="floor",
        mass_kg_m2=380,
        area_m2=16,
        length_mm=3600,
        junction="rigid cross",
        law="mineral",
        rw_db=None,
        gain_db=0.0,
        gain_beyond_db=0.0,
    )
    return brick_wall(
        3600,
        other_side="neighbour",
        openings=(),
        targets=Targets(sound_gain_db=gain),
        separates=Separates(area_m2=9.0, volume_m3=None, flanks=(flank,)),
    )


def test_the_chosen_lining_bears_and_sounds_as_the_plan_finds() -> None:
    """Every verdict of the plan on sound and frame is met, also with what goes round the wall."""
    wall = between_rooms(4.0)
    (chosen,) = choose_building([(wall, STUDS)], setting(), Choose(), extent=FEW).walls
    plan = plan_wall(replace(wall, lining=chosen.lining), setting().practice)
    sound, frame = sound_of(plan, setting().practice), frame_of(plan, setting().practice)

    assert chosen.closest is None
    assert not isinstance(sound, str)
    assert sound.findings == frame.findings == ()
    assert all(verdict.met for verdict in (*sound.verdicts, *frame.verdicts))
    quick, full = chosen.finalist.quick[by.ROOM_GAIN.key], chosen.finalist.exact[by.ROOM_GAIN.key]
    assert quick == pytest.approx(full, abs=0.2)


def test_what_goes_round_the_wall_can_make_a_target_impossible() -> None:
    """Linings gain 12 dB on the wall; in the next room the floor lets through what it always did."""
    found = choose_building([(between_rooms(12.0), STUDS)], setting(), Choose(), extent=FEW)
    (chosen,) = found.walls

    assert chosen.finalist.exact[by.SOUND_GAIN.key] >= 12
    assert [miss.wanted.criterion for miss in chosen.finalist.misses] == [by.ROOM_GAIN]
    assert "give way on one of: improvement of R'w between the rooms" in found.findings[-1].remedy


def test_the_record_says_what_was_given_up(plain: Considered) -> None:
    found = choose_building([(outside(id="W-9"), STUDS)], setting(), Choose(), extent=FEW)
    record = record_choice(found)
    (wall,) = record.walls

    assert (record.objective, record.proved, record.systems) == ("cost", True, 1)
    assert wall.options == len(plain.evaluated.options)
    assert wall.lining == found.walls[0].lining.id
    costs = {figure.criterion: figure for figure in wall.figures}
    assert costs["cost"].quick == pytest.approx(worth(plain)[plain.passed].min(), abs=0.01)
    assert all("EUR dearer" in given for given in wall.gave_up)
    assert figures(record)["walls"][0]["targets"][0]["target"].startswith("greatest height")


def test_the_chosen_lining_of_an_outside_wall_holds_through_the_years_of_the_plan() -> None:
    """The figures it was taken by are those that the plan judges; a corner too cold is a note, not a miss."""
    practice, years = wet.PRACTICE, SettledYears(wet.PRACTICE, wet.weather())
    wall = replace(wet.a_wall(), lining=UNCHOSEN, openings=(), targets=Targets(u_value_w_m2k=0.5))
    wish = Wish(
        way=Way.STUD_AND_TRACK,
        profile="CW-75",
        boards=("board-A-12.5",),
        insulation=("wool-60",),
        insulation_behind=(),
        membrane="membrane-variable",
    )
    found = choose_building(
        [(wall, wish)], setting(practice=practice, climate=CLIMATE, years=years), Choose(), extent=FEW
    )
    (chosen,) = found.walls
    plan = plan_wall(replace(wall, lining=chosen.lining), practice)
    told = {v.requirement: v for v in yearly_verdicts(wall, wet.followed(case_of_plan(plan)), practice.rules)}

    assert chosen.closest is None
    assert all(verdict.met for verdict in told.values())
    assert chosen.finalist.exact[by.MOULD.key] == told[MOULD].value
    assert chosen.finalist.exact[by.WATER_GAIN.key] == told[GAIN].value
    assert chosen.finalist.exact[by.U_VALUE.key] <= 0.5
    assert chosen.finalist.notes[0].startswith("surface temperature factor at the coldest detail (")


def case_of_plan(plan: WallPlan) -> Case:
    case = case_of(plan, wet.PRACTICE, wet.weather())
    assert isinstance(case, Case)
    return case
