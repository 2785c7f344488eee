"""A sheet that only remembers what was drawn, so that a test can read a drawing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from innerleaf.documents.sheet import (
    DIM,
    TEXT,
    Anchor,
    Axis,
    Hatch,
    Pen,
    Place,
    Rect,
    draw_dimension,
    draw_running,
    text_box,
)
from innerleaf.documents.svg import DIMENSION_SIZE


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """One thing drawn: its kind, layer, points, and for texts the words and the box they take."""

    kind: str
    layer: str
    points: tuple[Place, ...]
    words: str = ""
    box: Rect | None = None
    axis: str = ""


@dataclass
class Recorder:
    """Keeps every call in order; dimensions are kept whole and also as the lines and words they make."""

    calls: list[Call] = field(default_factory=list)

    def clip(self, box: Rect | None) -> None:
        """Everything drawn is remembered, also what a clip would hide."""

    def line(self, pen: Pen, a: Place, b: Place) -> None:
        """A straight line."""
        self.calls.append(Call(kind="line", layer=pen.layer, points=(a, b)))

    def polyline(self, pen: Pen, points: Sequence[Place]) -> None:
        """An open line."""
        self.calls.append(Call(kind="line", layer=pen.layer, points=tuple(points)))

    def polygon(self, pen: Pen, rings: Sequence[Sequence[Place]], hatch: Hatch = Hatch.NONE) -> None:
        """A closed outline."""
        self.calls.append(Call(kind="polygon", layer=pen.layer, points=tuple(rings[0]), words=hatch.value))

    def rect(self, pen: Pen, box: Rect, hatch: Hatch = Hatch.NONE) -> None:
        """An upright rectangle."""
        left, bottom, right, top = box
        corners = ((left, bottom), (right, bottom), (right, top), (left, top))
        self.calls.append(Call(kind="polygon", layer=pen.layer, points=corners, words=hatch.value))

    def circle(self, pen: Pen, centre: Place, radius: float, hatch: Hatch = Hatch.NONE) -> None:
        """A circle."""
        self.calls.append(Call(kind="circle", layer=pen.layer, points=(centre,)))

    def dots(self, pen: Pen, points: Iterable[Place]) -> None:
        """Points."""
        self.calls.append(Call(kind="dots", layer=pen.layer, points=tuple(points)))

    def text(
        self,
        at: Place,
        words: str,
        size: float,
        anchor: Anchor = "middle",
        *,
        upright: bool = False,
        bold: bool = False,
        masked: bool = False,
    ) -> None:
        """Words, with the box they take."""
        box = text_box(at, words, size, anchor, upright=upright)
        self.calls.append(Call(kind="text", layer=TEXT.layer, points=(at,), words=words, box=box))

    def dimension(self, a: Place, b: Place, base: float, axis: Axis, words: str) -> None:
        """A plain dimension."""
        self.calls.append(Call(kind="dimension", layer=DIM.layer, points=(a, b), words=words, axis=axis))
        draw_dimension(self, DIM, a, b, base, axis, words, DIMENSION_SIZE)

    def running(
        self, axis: Axis, origin: Place, feature: Place, base: float, text_at: Place, words: str
    ) -> None:
        """One stop of a running dimension."""
        self.calls.append(
            Call(kind="running", layer=DIM.layer, points=(origin, feature), words=words, axis=axis)
        )
        draw_running(self, DIM, axis, feature, base, text_at, words, DIMENSION_SIZE)

    def of(self, kind: str, layer: str = "") -> list[Call]:
        """The calls of one kind (and layer), in order."""
        return [call for call in self.calls if call.kind == kind and layer in ("", call.layer)]

    def words(self) -> list[str]:
        """All texts, in order."""
        return [call.words for call in self.of("text")]

    def overlaps(self) -> list[tuple[str, str]]:
        """Pairs of texts whose boxes overlap."""
        boxes = [(call.words, call.box) for call in self.of("text") if call.box]
        return [
            (words, other)
            for i, (words, a) in enumerate(boxes)
            for other, b in boxes[i + 1 :]
            if a[0] < b[2] - 0.05 and b[0] < a[2] - 0.05 and a[1] < b[3] - 0.05 and b[1] < a[3] - 0.05
        ]
