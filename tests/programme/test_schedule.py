"""A programme in time: lawful, held by hold points, drying and calendars, re-planned without undoing."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from pathlib import Path

import pytest
from tests.programme.house import PROGRAMME, QUICK, built, silent

from innerleaf.cost.model import Delivery
from innerleaf.errors import FileFaults, InputError
from innerleaf.programme.build import Built
from innerleaf.programme.engine.check import check
from innerleaf.programme.for_job import Asked, advanced, programme_for
from innerleaf.programme.model import Programme, Timed
from innerleaf.programme.progress import Past, Progress
from innerleaf.programme.schedule import programme_of, scheduled

CREWS = """\
  crews:
    - {id: frame, skills: [framing, boarding], fitters: 2, helpers: 1}
    - {id: joints, skills: [jointing], jointers: 1}
"""


@cache
def programme(more: str = "", *, base: str = PROGRAMME) -> Programme:
    """The house put in time, with more said of it."""
    return programme_of(built(base + more), QUICK, silent)


def by_id(of: Programme) -> dict[str, Timed]:
    return {one.id: one for one in of.operations}


def when(text: str) -> datetime:
    return datetime.fromisoformat(text)


def lawful(of: Built) -> None:
    found = scheduled(of, QUICK, silent)
    assert check(found.network, found.answer.starts) == ()


def test_it_is_lawful_and_not_below_its_bound() -> None:
    lawful(built())
    found = programme()

    assert found.finish >= found.finish_bound
    assert found.hours == pytest.approx(sum(one.hours for one in found.operations if one.kind == "ours"))
    assert [one.start for one in found.operations] == sorted(one.start for one in found.operations)


def test_the_same_job_gives_the_same_programme() -> None:
    assert programme_of(built(), QUICK, silent) == programme()


def test_nothing_begins_before_what_it_waits_for_and_no_coat_on_a_wet_one() -> None:
    known = by_id(programme())
    for one in known.values():
        for name in one.after:
            before = known[name]
            assert one.start >= before.end
            if before.dry_at:
                assert one.start >= before.dry_at


def test_a_coat_is_dry_when_the_law_says_so() -> None:
    """18 °C and 55 %: 9 × 1.212 / 0.45 = 24.2 h, counted by the clock over nights."""
    coats = [one for one in programme().operations if one.step in ("tape", "coat 2", "coat 3")]

    assert coats
    for one in coats:
        assert (when(one.dry_at) - when(one.end)).total_seconds() / 3600 == pytest.approx(24.2, abs=0.2)


def test_no_coat_waits_less_than_the_practice_wants() -> None:
    found = programme_of(replace(built(), least_wait_min=48 * 60), QUICK, silent)
    coats = [one for one in found.operations if one.step in ("tape", "coat 2")]

    assert all((when(one.dry_at) - when(one.end)).total_seconds() == 48 * 3600 for one in coats)


def test_colder_rooms_wait_longer_and_are_told() -> None:
    cold = "  air: [{since: 2026-03-02, temperature: 8, humidity: 85}]\n"
    base = PROGRAMME.replace("  air: [{since: 2026-03-02, temperature: 18, humidity: 55}]\n", cold)
    found = programme(base=base)

    assert found.finish > programme().finish
    assert sorted((one.code, one.room) for one in found.findings) == [
        ("P101", "1"),
        ("P101", "2"),
        ("P102", "1"),
        ("P102", "2"),
    ]
    assert programme().findings == ()


def test_nobody_works_at_night_on_sundays_or_on_a_holiday() -> None:
    found = programme("  days_off: [2026-03-03, 2026-03-04]\n")

    for one in found.operations:
        for time in (when(one.start), when(one.end) - timedelta(minutes=1)):
            assert time.weekday() < 5
            assert time.date() not in (date(2026, 3, 3), date(2026, 3, 4))
            assert (7 * 60 <= time.hour * 60 + time.minute < 12 * 60) or (
                12 * 60 + 30 <= time.hour * 60 + time.minute < 15 * 60 + 30
            )


def test_a_night_crew_works_at_night_and_others_by_day() -> None:
    crews = CREWS.replace("jointers: 1", "jointers: 1, hours: [20:00-24:00]")
    found = programme(crews)

    for one in found.operations:
        night = when(one.start).hour >= 20
        assert night == (one.crew == "joints")


def test_who_releases_comes_on_their_days_and_boards_wait() -> None:
    hold = "id: eye, name: look, by: engineer, after: vapour layer, before: first board layer"
    found = programme(f"  hold_points: [{{{hold}, days: [thursday]}}]\n")
    known = by_id(found)

    for one in found.operations:
        if one.step == "look":
            assert when(one.start).strftime("%A") == "Thursday"
        if one.step == "board layer 1":
            assert one.start >= known[f"{one.room}/eye"].end


def test_a_storey_that_opens_later_is_left_alone_until_then() -> None:
    found = programme("  access: [{storeys: ['2'], since: 2026-03-09}]\n")

    assert min(one.start for one in found.operations if one.storey == "2") >= "2026-03-09"
    assert min(one.start for one in found.operations if one.storey == "1") < "2026-03-03"


def test_another_trade_on_fixed_days_stands_there_and_missed_days_are_told() -> None:
    said = "{id: pipes, name: pipes, by: plumber, after: frame, before: insulation, rooms: [bath], %s}"
    far = programme(f"  others: [{said % 'since: 2026-03-09, until: 2026-03-10'}]\n")
    near = programme(f"  others: [{said % 'since: 2026-03-02, until: 2026-03-02'}]\n")

    known = by_id(far)
    assert known["bath/pipes"].start == "2026-03-09 07:00"
    assert known["bath/pipes"].end == "2026-03-10 15:30"
    assert known["W-03/insulation"].start >= "2026-03-11"
    assert known["W-03/frame"].end <= "2026-03-09 07:00"
    assert "P104" in {one.code for one in near.findings}
    assert "P104" not in {one.code for one in far.findings}


def test_a_day_of_the_client_that_cannot_be_met_is_told() -> None:
    assert "P104" in {one.code for one in programme("  finish_by: 2026-03-03\n").findings}


def delivery(name: str, phase: str, lead: int, *, storey: str = "") -> Delivery:
    return Delivery(
        id=name,
        supplier="Reed (invented)",
        storey=storey,
        mass_kg=500.0,
        charge=0,
        order_by_days=lead,
        lifts=0,
        basis="",
        phase=phase,
    )


def test_deliveries_are_called_off_in_time_for_the_work() -> None:
    goods = (delivery("D1", "frame", 3), delivery("D2", "boards", 5, storey="2"))
    found = programme_of(built(deliveries=goods), QUICK, silent)
    calls = {one.delivery: one for one in found.call_offs}
    known = by_id(found)

    assert calls["D1"].on == "2026-03-02"
    assert calls["D1"].call_on == "2026-02-25"  # three working days, the week-end between
    first = min(known[f"{room}/bring-in-boards"].start for room in ("loft", "den"))
    assert calls["D2"].on == first[:10]
    assert calls["D2"].first_used_by.endswith("/bring-in-boards")


def test_a_day_agreed_for_a_delivery_is_waited_for() -> None:
    goods = (delivery("D1", "boards", 2, storey="1"),)
    said = PROGRAMME + "  deliveries: [{storey: '1', phase: boards, on: 2026-03-06}]\n"
    found = programme_of(built(said, deliveries=goods), QUICK, silent)

    assert by_id(found)["bed/bring-in-boards"].start >= "2026-03-06"
    assert [(one.on, one.agreed, one.call_on) for one in found.call_offs] == [
        ("2026-03-06", True, "2026-03-04")
    ]


def test_one_tower_serves_one_wall_at_a_time() -> None:
    crews = CREWS.replace("fitters: 2, helpers: 1", "fitters: 1, helpers: 1, count: 2")
    said = f"  plant: [{{id: saw, steps: [frame, strip and tracks]}}]\n{crews}"
    lawful(built(PROGRAMME + said))
    busy = sorted(
        (one.start, one.end)
        for one in programme(said).operations
        if one.step in ("frame", "strip and tracks")
    )

    assert all(before[1] <= after[0] for before, after in zip(busy, busy[1:], strict=False))


def test_alike_crews_have_numbers_and_none_is_in_two_rooms_at_once() -> None:
    found = programme(CREWS.replace("fitters: 2, helpers: 1", "fitters: 1, helpers: 1, count: 2"))

    assert {one.crew for one in found.operations if one.kind == "ours"} == {"frame-1", "frame-2", "joints"}
    for crew in ("frame-1", "frame-2", "joints"):
        spans = sorted((one.start, one.end) for one in found.operations if one.crew == crew)
        assert all(before[1] <= after[0] for before, after in zip(spans, spans[1:], strict=False))
    assert sum(one.hours for one in found.crews) == pytest.approx(found.hours)


def test_boards_too_heavy_for_one_are_told() -> None:
    crews = CREWS.replace("fitters: 2, helpers: 1", "fitters: 1")
    codes = {one.code for one in programme(crews).findings}

    assert ("P105" in codes) == any(one.heavy for one in built(PROGRAMME + crews).work.operations)


def test_work_that_no_crew_has_days_for_is_refused_in_words() -> None:
    of = built(PROGRAMME + CREWS.replace("jointers: 1", "jointers: 1, until: 2026-03-03"))
    with pytest.raises(InputError, match="crews and days on which all can be done"):
        programme_of(of, QUICK, silent)


def test_dust_beside_wet_coats_is_told() -> None:
    said = "  open_to: [[bed, bath, loft, den]]\n"
    told = [one for one in programme(said).findings if one.code == "P103"]
    known = by_id(programme(said))

    for one in told:
        sanding = known[one.operation]
        wet = [o for o in known.values() if o.dry_at and o.room != sanding.room and o.start < sanding.end]
        assert any(o.dry_at > sanding.start for o in wet)


# --- planned on from what is done -----------------------------------------------------------------


def half_done(of: Built, today: date) -> Built:
    """Everything that the first programme ends before a day is done; what it is at is under way."""
    first = programme_of(of, QUICK, silent)
    morning = datetime.combine(today, datetime.min.time())
    past = {}
    for one in first.operations:
        if when(one.end) <= morning:
            past[one.id] = Past(started=when(one.start), done=when(one.end))
        elif when(one.start) < morning:
            past[one.id] = Past(started=when(one.start))
    assert past
    return replace(of, progress=Progress(today=today, past=past))


@pytest.mark.parametrize("today", [date(2026, 3, 4), date(2026, 3, 6), date(2026, 3, 9)])
def test_two_storeys_planned_again_in_mid_work_undo_nothing(today: date) -> None:
    of = built()
    now = half_done(of, today)
    lawful(now)
    first, again = (
        programme_of(of, QUICK, silent),
        programme_of(now, QUICK, silent, programme_of(of, QUICK, silent)),
    )
    before, after = by_id(first), by_id(again)

    for name, past in now.past.items():
        assert after[name].state == ("done" if past.done else "started")
        assert after[name].start == before[name].start
        if past.done:
            assert after[name].end == before[name].end
    for one in again.operations:
        if one.state == "planned":
            assert one.start >= today.isoformat()
        for name in one.after:
            assert after[name].state == "done" or one.state == "planned"
    assert again.today == today.isoformat()
    assert {one.id for one in again.against} == set(before)
    assert again.hours == first.hours


def test_a_day_lost_moves_what_is_ahead_and_nothing_else() -> None:
    today = date(2026, 3, 4)
    now = half_done(built(), today)
    lost = replace(now, said=now.said.model_copy(update={"days_off": (today.isoformat(),)}))
    found = programme_of(lost, QUICK, silent, programme())

    moved = [one for one in found.against if one.state == "planned"]
    assert all(one.now >= "2026-03-05" for one in moved)
    assert all(one.days == 0 for one in found.against if one.state == "done")


def test_what_was_done_too_soon_is_told() -> None:
    """Boards up before the check, a second coat on a wet one."""
    times = [(name, datetime(2026, 3, 2, 7) + timedelta(minutes=20 * n)) for n, name in enumerate(DEN)]
    past = {name: Past(started=at, done=at + timedelta(minutes=20)) for name, at in times}
    found = programme_of(
        replace(built(), progress=Progress(today=date(2026, 3, 4), past=past)), QUICK, silent
    )
    told = {(one.code, one.operation) for one in found.findings}

    assert ("P107", "W-05/board-layer-1") in told
    assert ("P108", "den/coat-2") in told
    assert ("P108", "den/coat-3") not in told


DEN = (
    *("den/mark-out", "den/bring-in-frame-and-insulation", "W-05/strip-and-tracks", "W-05/frame"),
    *("W-05/insulation", "den/bring-in-boards", "W-05/board-layer-1", "W-05/fill-joints-of-layer-1"),
    *("W-05/board-layer-2", "den/tape", "den/coat-2"),
)


def test_a_file_of_what_is_done(tmp_path: Path) -> None:
    done = tmp_path / "site.yaml"
    done.write_text(
        "operations:\n"
        "  bed/mark-out: {started: 2026-03-02 07:00, done: 2026-03-02 08:00}\n"
        "  W-01/strip-and-tracks: {started: 2026-03-03, left: 0.5}\n",
        encoding="utf-8",
    )
    found, _ = programme_for(built(), Asked(effort=QUICK, today="2026-03-04", done=done), silent)
    known = by_id(found)

    assert (known["bed/mark-out"].end, known["bed/mark-out"].state) == ("2026-03-02 08:00", "done")
    assert known["W-01/strip-and-tracks"].state == "started"
    assert known["W-01/strip-and-tracks"].end > "2026-03-04 07:00"


@pytest.mark.parametrize(
    ("line", "fault"),
    [
        ("bed/markout: {started: 2026-03-02}", "did you mean bed/mark-out"),
        ("bed/mark-out: {done: 2026-03-02}", "`started` with its day"),
        ("bed/mark-out: {started: 2026-03-06}", "a day before today, 2026-03-05"),
        ("bed/mark-out: {started: 2026-03-03, done: 2026-03-02}", "after it was started"),
        ("bed/mark-out: {started: 2026-03-03, left: 2}", "a share above 0 and up to 1"),
        ("bed/mark-out: {started: yesterday}", "a day such as 2026-03-05"),
        ("bed/mark-out: {started: 2026-03-02, by: Ada}", "started, done, left"),
    ],
)
def test_faults_of_such_a_file_are_said(line: str, fault: str, tmp_path: Path) -> None:
    done = tmp_path / "site.yaml"
    done.write_text(f"operations:\n  {line}\n", encoding="utf-8")
    with pytest.raises(FileFaults) as told:
        advanced(built(), Asked(effort=QUICK, today="2026-03-05", done=done))

    assert fault in str(told.value.faults)
    assert "site.yaml:2" in str(told.value.faults)


def test_a_day_without_a_file_is_refused() -> None:
    with pytest.raises(InputError, match="today"):
        advanced(built(), Asked(effort=QUICK, today="2026-03-05"))
