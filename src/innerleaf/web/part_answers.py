"""What the JSON side takes and gives of rooms and walls as parts, of options, of the firm's own files."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from innerleaf.web.answers import LengthTyped, Number

Word = Annotated[str, Field(max_length=60)]


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class PartAsked(_Part):
    """A change of a room or wall ``id``; ``to`` is the new id of one that is renamed, copied or added.

    A wall that is added or copied stands in ``room``; one that is added has a length, and is otherwise as the
    first wall of the job.
    """

    base: Number
    of: Literal["room", "wall"]
    do: Literal["add", "copy", "rename", "remove"]
    id: Word = ""
    to: Word = ""
    room: Word = ""
    height_mm: Annotated[LengthTyped | None, Field(ge=1, le=100_000)] = None
    length_mm: Annotated[LengthTyped | None, Field(ge=1, le=100_000)] = None


class OptionAsked(_Part):
    """An option of a run, by its number, to become the lining of the wall; ``name`` for one without."""

    base: Number
    run: Annotated[str, Field(max_length=64)]
    number: Annotated[int, Field(ge=1, le=1000)]
    name: Word = ""


class OptionChosen(_Part):
    """The revision that the choice made, the one before it to go back to, and the lining's name."""

    revision: int
    before: int
    lining: str


class FileAnswer(_Part):
    """A file of the firm as it is kept now, and what of a price list could not be used."""

    kind: str
    name: str
    revision: int
    job_revision: int
    left_out: list[str] = []
