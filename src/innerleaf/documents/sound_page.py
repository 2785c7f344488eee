"""The sheet on sound and frame of a wall: what is heard before and after, and what the frame bears."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from innerleaf.design.frame.wall import Frame
from innerleaf.design.performance import Performance
from innerleaf.design.sound.verdicts import Rooms, Sound
from innerleaf.documents.frame_plot import draw_frame
from innerleaf.documents.pages import FIELD_WIDTH_MM, Note, Page, fitting, sentence, subject_of
from innerleaf.documents.schedule import Cell, Table
from innerleaf.documents.sound_plot import draw_sound
from innerleaf.documents.svg import SvgSheet
from innerleaf.documents.verdict_table import signed, verdict_table
from innerleaf.layout.pieces import WallPlan
from innerleaf.physics.sound.flanking import Path
from innerleaf.physics.sound.rating_record import Rating

_HEIGHT_MM = 62.0
_SOUND_MM = 168.0  # of the width; the frame has the rest
_ROUTES = ("Dd", "Ff", "Fd", "Df")
_NONE = "–"


def sound_and_frame_page(plan: WallPlan, performance: Performance) -> Page:
    """Both pictures above; verdicts, ratings, ways of the sound below."""
    sound, frame = performance.sound, performance.frame
    heard = sound if isinstance(sound, Sound) else None
    verdicts = (*(heard.verdicts if heard else ()), *(frame.verdicts if frame else ()))
    tables = [rating_table(heard)] if heard else []
    if heard and heard.rooms:
        tables.append(path_table(heard.rooms))
    if verdicts:
        tables.append(verdict_table(verdicts, sources_below=True))
    return Page(
        wall=plan.wall.id,
        title="Sound and frame",
        subject=subject_of(plan),
        scale="not to scale",
        svg=sound_and_frame_svg(heard, frame),
        tables=tuple(tables),
        notes=fitting(list(_notes(performance)), "More: see the plan file."),
        wide=True,
    )


def sound_and_frame_svg(sound: Sound | None, frame: Frame | None) -> str:
    """The spectra at the left, the member nearest its limit at the right."""
    sheet = SvgSheet(FIELD_WIDTH_MM, _HEIGHT_MM)
    if sound:
        draw_sound(sheet, sound, (0.0, 0.0, _SOUND_MM, _HEIGHT_MM))
    if frame:
        draw_frame(sheet, frame, (_SOUND_MM + 6.0 if sound else 0.0, 0.0, FIELD_WIDTH_MM - 2.0, _HEIGHT_MM))
    return sheet.svg()


def rating_table(sound: Sound) -> Table:
    """Single numbers before and after, their working, and the estimate of annex D beside them."""
    before, after = sound.before, sound.after
    rows = [
        ("old wall alone", *_rating_cells(before), _contour(before)),
        ("lined", *_rating_cells(after), _contour(after)),
        ("after less before", *_differences(before, after), "; ".join(_promise(sound))),
        ("ISO 12354-1 annex D", *_annex_cells(sound), _annex_words(sound)),
    ]
    columns = ("", "Rw", "in tenths", "C", "Ctr", "C50-5000", "Ctr50-5000", "STC", "working")
    title = "Ratings in dB (ISO 717-1, ASTM E413), predicted from the layers as in a laboratory"
    return Table(title, columns, tuple(rows), columns[1:-1], ruled=(2, 3))


def _rating_cells(rating: Rating) -> tuple[Cell, ...]:
    terms = (rating.c, rating.ctr, rating.terms["C50-5000"], rating.terms["Ctr50-5000"])
    stc = _NONE if rating.stc is None else str(rating.stc)
    return (str(rating.rw), f"{rating.rw_fine:.1f}", *(signed(term, 0) for term in terms), stc)


def _contour(rating: Rating) -> str:
    moved = signed(rating.shift, 0, plus=True)
    return f"reference moved by {moved}, {rating.sum_of_deficiencies:.1f} dB short of it of 32.0 allowed"


def _differences(before: Rating, after: Rating) -> tuple[Cell, ...]:
    stc = _NONE
    if before.stc is not None and after.stc is not None:
        stc = signed(after.stc - before.stc, 0, plus=True)
    return (
        signed(after.rw - before.rw, 0, plus=True),
        signed(after.rw_fine - before.rw_fine, 1, plus=True),
        *("",) * 4,
        stc,
    )


def _promise(sound: Sound) -> Iterator[str]:
    yield f"counted {signed(sound.gain, 1, plus=True)} ± {sound.predicted.gain_uncertainty:.1f} dB"
    for reason in sound.predicted.no_gain:
        yield f"no gain is promised: {reason}"


def _annex_cells(sound: Sound) -> tuple[Cell, ...]:
    return ("", signed(sound.estimate.gain_to_promise, 1, plus=True), *("",) * 5)


def _annex_words(sound: Sound) -> str:
    estimate = sound.estimate
    found = (
        f"f0 {estimate.f0:.0f} Hz: {signed(estimate.delta_rw, 1, plus=True)} in its band,"
        f" {signed(estimate.delta_rw_exact, 1, plus=True)} as it is"
    )
    if estimate.does_not_hold:
        return f"× DOES NOT HOLD: {'; '.join(estimate.does_not_hold)} ({found})"
    return f"✓ holds; {found}"


def path_table(rooms: Rooms) -> Table:
    """What each flank carries by its three ways and the wall straight on, before → after."""
    effect = rooms.effect
    by_flank: dict[str, dict[str, tuple[Path, Path]]] = {}
    for was, now in zip(effect.before.paths, effect.after.paths, strict=True):
        by_flank.setdefault(was.along, {})[was.route] = (was, now)
    rows: list[tuple[Cell, ...]] = []
    for along, ways in by_flank.items():
        cells = [
            _change(effect.before.rating_of(ways[route][0]), effect.after.rating_of(ways[route][1]))
            if route in ways
            else ""
            for route in _ROUTES
        ]
        carried = [sum(pair[k].share for pair in ways.values()) for k in (0, 1)]
        rows.append((along, *cells, "{:.0f} → {:.0f} %".format(*carried)))
    sums = len(rows)
    rows.append(("R'w between the rooms", _change(effect.before.rw, effect.after.rw), "", "", "", ""))
    if rooms.by_band:
        rows.append(
            ("the same by single numbers", _change(rooms.single.before.rw, rooms.single.after.rw), *("",) * 4)
        )
    best = effect.before.at_best(effect.side)
    rows.append(("with a perfect lining on this side", f"{best:.1f}", "", "", "", ""))
    standardized = rooms.standardized()
    if standardized:
        rows.append((f"DnT,w in {rooms.flanks.volume:g} m³", _change(*standardized), "", "", "", ""))
    columns = (
        "",
        "straight on (Dd)",
        "in and out by it (Ff)",
        "in by it, out by the wall (Fd)",
        "in by the wall, out by it (Df)",
        "share of the sound",
    )
    how = "third-octave bands, then rated" if rooms.by_band else "single numbers, deviation 2 dB"
    title = (
        f"From room to room over {rooms.flanks.area:.2f} m², old wall → lined, R in dB (ISO 12354-1, {how})"
    )
    return Table(title, columns, tuple(rows), columns[1:], ruled=(sums,))


def _change(before: float, after: float) -> str:
    return f"{before:.1f} → {after:.1f}"


def _notes(performance: Performance) -> Iterable[Note]:
    sound, frame = performance.sound, performance.frame
    yield Note(
        heading="What this sheet is",
        text="Calculated from the wall as set out: estimates of the built wall. Tested tables of the real"
        " lining, local codes and licensed practice govern; a measurement in the building decides on sound.",
    )
    topics = [topic for topic in (sound, frame) if isinstance(topic, Sound | Frame)]
    for number, finding in enumerate(finding for topic in topics for finding in topic.findings):
        yield Note(
            heading="Not met: what to do" if number == 0 else "",
            lead=f"{finding.code}:",
            text=f"{finding.rule}. {_capital(finding.remedy)}",
        )
    if isinstance(sound, Sound):
        yield from _sound_notes(sound)
    elif sound:
        yield Note(heading="Sound", text=_capital(sound))
    if frame:
        yield from _frame_notes(frame)


def _sound_notes(sound: Sound) -> Iterable[Note]:
    said_already: tuple[str, ...] = ()
    if sound.rooms:
        said_already = sound.rooms.effect.sentences()
        for number, said in enumerate(said_already):
            yield Note(heading="What arrives in the next room" if number == 0 else "", text=said)
        for number, line in enumerate(sound.rooms.working):
            yield Note(heading="Flanks" if number == 0 else "", text=_capital(line))
    for number, line in enumerate(sound.predicted.working):
        yield Note(heading="How sound is predicted" if number == 0 else "", text=_capital(line))
    for note in sound.notes:
        if note not in said_already and "annex D" not in note:
            yield Note(text=_capital(note))
    yield Note(
        text="Resonance is that of boards and wall on the air between them; around it and below the lining"
        " brings nothing or harms. ± and u are standard uncertainties; likely missed is that of a normal"
        " distribution."
    )


def _frame_notes(frame: Frame) -> Iterable[Note]:
    cases = ", ".join(frame.cases)
    yield Note(
        heading="How the frame is worked out",
        text=f"Load cases {cases} (DIN 4103-1) and what hangs on the lining, each by itself; finish"
        f" {frame.finish}. A check of plausibility.",
    )
    for note in frame.notes:
        yield Note(text=_capital(note))
    yield Note(
        text="Sketch: old wall at the left, room at the right; triangles hold without giving way, springs are"
        " brackets; the deflection named is the greatest against its span."
    )


def _capital(text: str) -> str:
    return sentence(text[:1].upper() + text[1:])
