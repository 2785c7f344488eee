"""Clouds: round everything that changed, numbered once, closed, outside what they stand for."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.revise.test_match import shifted

from innerleaf.documents import framing
from innerleaf.documents.recorder import Recorder
from innerleaf.documents.revision_drawing import clouds_of, draw_changes, draw_cloud, drawings_of
from innerleaf.documents.view import make_view
from innerleaf.layout.pieces import FACE
from innerleaf.revise.match import STAYED, PieceChange, held_together
from innerleaf.revise.pieces import pieces_of

SCALE = 25


def changes() -> list[PieceChange]:
    held = held_together(pieces_of(shifted(0)), pieces_of(shifted(175)))
    return [change for change in held if change.how != STAYED]


@given(left=st.floats(-50, 50), bottom=st.floats(-50, 50), wide=st.floats(1, 300), tall=st.floats(1, 300))
@settings(max_examples=50, deadline=None)
def test_a_cloud_is_closed_and_leaves_its_inside_free(
    left: float, bottom: float, wide: float, tall: float
) -> None:
    sheet = Recorder()
    draw_cloud(sheet, (left, bottom, left + wide, bottom + tall))

    (call,) = sheet.of("line", "CLOUD")
    assert call.points[0] == call.points[-1]
    for x, y in call.points:
        inside = left + 1e-6 < x < left + wide - 1e-6 and bottom + 1e-6 < y < bottom + tall - 1e-6
        assert not inside


def test_everything_that_changed_lies_in_a_cloud() -> None:
    """Pieces of the face, as they were and as they are."""
    clouds = clouds_of(changes(), SCALE)

    for change in changes():
        for piece in (change.before, change.after):
            if piece and piece.plane == FACE:
                assert any(
                    cloud.box[0] <= piece.box[0]
                    and cloud.box[1] <= piece.box[1]
                    and cloud.box[2] >= piece.box[2]
                    and cloud.box[3] >= piece.box[3]
                    for cloud in clouds
                    if change in cloud.changes
                )


def test_clouds_do_not_lie_on_each_other_and_count_from_left_to_right() -> None:
    clouds = clouds_of(changes(), SCALE)

    assert [cloud.number for cloud in clouds] == list(range(1, len(clouds) + 1))
    for number, a in enumerate(clouds):
        for b in clouds[number + 1 :]:
            apart = a.box[2] < b.box[0] or b.box[2] < a.box[0] or a.box[3] < b.box[1] or b.box[3] < a.box[1]
            assert apart


def test_each_cloud_has_its_number_and_what_was_is_dashed() -> None:
    sheet, clouds = Recorder(), clouds_of(changes(), SCALE)
    view, _, _ = make_view(shifted(175).wall, SCALE, framing.SPACE)

    draw_changes(sheet, view, changes(), clouds)

    assert sheet.words() == [str(cloud.number) for cloud in clouds]
    assert len(sheet.of("line", "CLOUD")) == len(clouds)
    were = [change for change in changes() if change.before and change.before.plane == FACE]
    assert len(sheet.of("polygon", "WENT")) == len(were)


def test_drawings_are_of_what_changed_only() -> None:
    """The frame and each layer with a change; numbers go on from drawing to drawing."""
    made = drawings_of(shifted(175), changes())

    assert [drawing.title for drawing in made] == ["Frame", "Boards, layer 1", "Boards, layer 2"]
    numbers = [cloud.number for drawing in made for cloud in drawing.clouds]
    assert numbers == list(range(1, len(numbers) + 1))
    bars = [change for change in changes() if change.piece.kind == "bar"]
    assert [drawing.title for drawing in drawings_of(shifted(175), bars)] == ["Frame"]
