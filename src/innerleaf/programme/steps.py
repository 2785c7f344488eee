"""The steps of the work in one wall or room, in the order they are done, and who does them."""

from __future__ import annotations

from typing import Final

MARK_OUT = "mark out"
BRING_FRAME = "bring in frame and insulation"
TRACKS = "strip and tracks"
BRACKETS = "brackets"
FRAME = "frame"
INSULATION = "insulation"
VAPOUR = "vapour layer"
BRING_BOARDS = "bring in boards"
TAPE = "tape"
SKIM = "skim"
SANDING = "sanding"
PRIME = "prime"
CLEAR = "clear up"

FRAMING, BOARDING, JOINTING, PAINTING = "framing", "boarding", "jointing", "painting"

OF_ROOMS: Final = (MARK_OUT, BRING_FRAME, BRING_BOARDS, TAPE, SKIM, SANDING, PRIME, CLEAR)
"""Steps of a room as a whole, the coats among them; the others are of one wall each."""


def board_layer(number: int) -> str:
    """The step that puts up a layer of boards, counted from the frame."""
    return f"board layer {number}"


def fill(number: int) -> str:
    """The step that fills the joints of a layer that another one covers."""
    return f"fill joints of layer {number}"


def coat(number: int) -> str:
    """A coat on tape and screw heads; the first one beds the tape and is called so."""
    return TAPE if number == 1 else f"coat {number}"


PHASES: Final = ("frame", "others", "boards", "joints", "finish")
"""What charts tell apart; "others" are other trades and hold points."""


def phase_of(step: str, *, ours: bool) -> str:
    """The phase that an operation is drawn as.

    >>> phase_of("vapour layer", ours=True), phase_of("tape", ours=True), phase_of("prime", ours=False)
    ('frame', 'joints', 'finish')
    """
    if step in (SANDING, CLEAR, PRIME):
        return "finish"
    if not ours:
        return "others"
    if step.startswith("board layer") or step == BRING_BOARDS:
        return "boards"
    return "joints" if coat_kind(step) else "frame"


def skill_of(step: str) -> str:
    """What a crew has to know for a step.

    >>> skill_of("coat 2"), skill_of("fill joints of layer 1"), skill_of("board layer 2"), skill_of("frame")
    ('jointing', 'jointing', 'boarding', 'framing')
    """
    if step.startswith("board layer"):
        return BOARDING
    if step == PRIME:
        return PAINTING
    if step.startswith(("coat ", "fill ")) or step in (TAPE, SKIM, SANDING):
        return JOINTING
    return FRAMING


def of_room(step: str) -> bool:
    """Whether a step is done for a room as a whole."""
    return step in OF_ROOMS or step.startswith("coat ")


def coat_kind(step: str) -> str:
    """How a step's coat dries (`practice/drying.yaml`); "" where nothing has to dry.

    >>> coat_kind("coat 3"), coat_kind("fill joints of layer 1"), coat_kind("frame")
    ('coat', 'fill', '')
    """
    if step.startswith("coat "):
        return "coat"
    if step.startswith("fill "):
        return "fill"
    return step if step in (TAPE, SKIM, PRIME) else ""
