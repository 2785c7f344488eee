"""The single values of a job file: names, lengths, numbers, and what is accepted for each.

Every value says in trade words what it accepts, so that one sentence serves the command line, an
editor and a web form. The literals repeat words of ``survey.wall``; a test holds the two together.
"""

from __future__ import annotations

import math
import re
from abc import ABC, abstractmethod
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, ClassVar, Final, Literal

from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from innerleaf.errors import InputError
from innerleaf.units import to_exact_mm, to_mm

WayWord = Literal["bracketed", "stud and track"]
BuildWord = Literal["single", "doubled", "boxed"]
OpeningWord = Literal["window", "door", "niche"]
ObstacleWord = Literal["column", "beam", "pipe", "radiator"]
MeetsWord = Literal[
    "masonry",
    "partition",
    "concrete slab",
    "screed",
    "existing ceiling",
    "open end",
    "external corner",
    "internal corner",
    "roof slope",
]
OtherSideWord = Literal["outside", "neighbour", "stair", "ground", "heated"]
ExposureWord = Literal["sheltered", "normal", "severe"]
ObjectiveWord = Literal["cost", "thickness", "hours", "carbon", "weighted"]
FinishWord = Literal["Q1", "Q2", "Q3", "Q4", "Level 0", "Level 1", "Level 2", "Level 3", "Level 4", "Level 5"]

DIRECTIONS: Final = {
    "north": 0,
    "north-east": 45,
    "east": 90,
    "south-east": 135,
    "south": 180,
    "south-west": 225,
    "west": 270,
    "north-west": 315,
}

NOT_ACCEPTED: Final = "not_accepted"  # the type of error that carries its own words
_LENGTH_TEXT: Final = r"^ *[-+]?[0-9.].*$"


def refusal(accepted: str) -> PydanticCustomError:
    """An error that says what would have been accepted."""
    return PydanticCustomError(NOT_ACCEPTED, "{accepted}", {"accepted": accepted})


class _Word(ABC):
    """How one value is read from the file and described to an editor."""

    @abstractmethod
    def read(self, value: object) -> object:
        """The value, or a refusal."""

    @abstractmethod
    def schema(self) -> dict[str, Any]:
        """JSON Schema of the value."""

    def __get_pydantic_core_schema__(self, _source: object, _handler: object) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, _core: object, _handler: object) -> dict[str, Any]:
        return self.schema()


@dataclass(frozen=True)
class Length(_Word):
    """A length within bounds, in mm or as a text with its unit; whole mm unless ``exact``."""

    low: float
    high: float
    exact: bool = False

    def read(self, value: object) -> float:
        """The length. [mm]"""
        try:
            length = to_exact_mm(value) if self.exact else to_mm(value)
        except InputError as error:
            raise refusal(error.accepted) from None
        return _within(length, self.low, self.high, " mm")

    def schema(self) -> dict[str, Any]:
        """JSON Schema of the value."""
        number = {"type": "number", "minimum": self.low, "maximum": self.high}
        return {"anyOf": [number, {"type": "string", "pattern": _LENGTH_TEXT}]}


@dataclass(frozen=True)
class Number(_Word):
    """A number within bounds, with the unit it is meant in."""

    low: float
    high: float
    unit: str = ""
    whole: bool = False

    def read(self, value: object) -> float:
        """The number. [unit]"""
        unit = f" {self.unit}" if self.unit else ""
        if (
            isinstance(value, bool)
            or not isinstance(value, int | float)
            or not math.isfinite(value)
            or (self.whole and value != round(value))
        ):
            kind = "a whole number" if self.whole else "a number"
            raise refusal(f"{kind} from {self.low:.12g} to {self.high:.12g}{unit}")
        return _within(int(value) if self.whole else float(value), self.low, self.high, unit)

    def schema(self) -> dict[str, Any]:
        """JSON Schema of the value."""
        return {"type": "integer" if self.whole else "number", "minimum": self.low, "maximum": self.high}


@dataclass(frozen=True)
class Direction(_Word):
    """A direction of the compass: degrees from north, clockwise, or a word."""

    def read(self, value: object) -> int:
        """The direction. [degrees]"""
        if isinstance(value, str) and value.strip().lower() in DIRECTIONS:
            return DIRECTIONS[value.strip().lower()]
        if isinstance(value, int) and not isinstance(value, bool) and 0 <= value < 360:
            return value
        raise refusal(f"degrees from north, 0 to 359, or {', '.join(DIRECTIONS)}")

    def schema(self) -> dict[str, Any]:
        """JSON Schema of the value."""
        return {"anyOf": [{"type": "integer", "minimum": 0, "maximum": 359}, {"enum": [*DIRECTIONS]}]}


@dataclass(frozen=True)
class Months(_Word):
    """Twelve numbers, January first."""

    low: float
    high: float
    unit: str

    def read(self, value: object) -> tuple[float, ...]:
        """The numbers. [unit]"""
        number = Number(self.low, self.high, self.unit)
        try:
            if isinstance(value, list) and len(value) == 12:
                return tuple(map(number.read, value))
        except PydanticCustomError:
            pass
        raise refusal(f"12 numbers from {self.low:.12g} to {self.high:.12g} {self.unit}, January first")

    def schema(self) -> dict[str, Any]:
        """JSON Schema of the value."""
        number = Number(self.low, self.high).schema()
        return {"type": "array", "items": number, "minItems": 12, "maxItems": 12}


@dataclass(frozen=True)
class Pair(_Word):
    """A corner, [x, y]."""

    def read(self, value: object) -> tuple[int, int]:
        """The corner. [mm]"""
        if not isinstance(value, list) or len(value) != 2:
            raise refusal("a corner [x, y], two lengths in mm")
        x, y = (int(_COORDINATE.read(number)) for number in value)
        return x, y

    def schema(self) -> dict[str, Any]:
        """JSON Schema of the value."""
        return {"type": "array", "items": _COORDINATE.schema(), "minItems": 2, "maxItems": 2}


@dataclass(frozen=True)
class Text(_Word):
    """One line of text; a bare whole number will do."""

    longest: int = 200

    def read(self, value: object) -> str:
        """The text without spaces around it."""
        text = _written(value)
        if text is None or len(text) > self.longest or not text.isprintable() or not text.strip():
            raise refusal(f"one line of text of at most {self.longest} characters")
        return text.strip()

    def schema(self) -> dict[str, Any]:
        """JSON Schema of the value."""
        return {"type": ["string", "integer"], "minLength": 1, "maxLength": self.longest}


@dataclass(frozen=True)
class Name(_Word):
    """A name that can stand in the mark of a piece and in the name of a file."""

    longest: int = 40
    _pattern: ClassVar[re.Pattern[str]] = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9._-]*[A-Za-z0-9])?\Z")

    def read(self, value: object) -> str:
        """The name."""
        text = _written(value)
        if text is None or len(text) > self.longest or not self._pattern.match(text):
            raise refusal(
                f"a name of 1 to {self.longest} letters a-z and digits, with . _ - between them (no space)"
            )
        return text

    def schema(self) -> dict[str, Any]:
        """JSON Schema of the value."""
        pattern = self._pattern.pattern.replace(r"\Z", "$")
        return {"type": ["string", "integer"], "maxLength": self.longest, "pattern": f"^{pattern}"}


@dataclass(frozen=True)
class Day(_Word):
    """A day of the calendar, year-month-day."""

    def read(self, value: object) -> str:
        """The day as written."""
        text = _written(value)
        try:
            if text is not None and date.fromisoformat(text).isoformat() == text:
                return text
        except ValueError:
            pass
        raise refusal("a day of the calendar such as 2026-02-27")

    def schema(self) -> dict[str, Any]:
        """JSON Schema of the value."""
        return {"type": "string", "format": "date"}


@dataclass(frozen=True)
class Stretch(_Word):
    """A stretch of a working day, from one time of the clock to a later one: 07:00-12:00."""

    step: int = 10  # minutes; times are whole multiples of it
    _pattern: ClassVar[re.Pattern[str]] = re.compile(
        r"([01][0-9]|2[0-3]):([0-5][0-9])\s*[-–]\s*([01][0-9]|2[0-4]):([0-5][0-9])\Z"
    )

    def read(self, value: object) -> tuple[int, int]:
        """Begin and end. [min from midnight]"""
        found = self._pattern.match(value.strip()) if isinstance(value, str) else None
        if found:
            begin, end = (int(found[n]) * 60 + int(found[n + 1]) for n in (1, 3))
            if begin < end <= 24 * 60 and begin % self.step == 0 == end % self.step:
                return begin, end
        raise refusal(f"times such as 07:00-12:00, in steps of {self.step} minutes, within one day")

    def schema(self) -> dict[str, Any]:
        """JSON Schema of the value."""
        return {"type": "string", "pattern": "^ *[0-2][0-9]:[0-5][0-9] *[-–] *[0-2][0-9]:[0-5][0-9] *$"}


@dataclass(frozen=True)
class Address(_Word):
    """Where a folder of pages stands on the web (or in the firm's own net)."""

    longest: int = 120
    _pattern: ClassVar[re.Pattern[str]] = re.compile(
        r"https?://(?:[A-Za-z0-9](?:[A-Za-z0-9.-]*[A-Za-z0-9])?|\[[0-9A-Fa-f:.]+\])(?::[0-9]{1,5})?"
        r"(?:/(?:[A-Za-z0-9._~!$&'()*+,;=:@-]|%[0-9A-Fa-f]{2})+)*/?\Z"
    )

    def read(self, value: object) -> str:
        """The address, without a slash at its end."""
        text = value.strip() if isinstance(value, str) else ""
        if len(text) > self.longest or not self._pattern.match(text):
            raise refusal(
                f"an address of a folder, http:// or https:// first, at most {self.longest} characters,"
                " without spaces, ? and #"
            )
        return text.rstrip("/")

    def schema(self) -> dict[str, Any]:
        """JSON Schema of the value."""
        return {"type": "string", "maxLength": self.longest, "pattern": "^ *https?://[^ ?#]+ *$"}


@dataclass(frozen=True)
class YesNo(_Word):
    """True or false, and no other word for it."""

    def read(self, value: object) -> bool:
        """The answer."""
        if not isinstance(value, bool):
            raise refusal("true or false")
        return value

    def schema(self) -> dict[str, Any]:
        """JSON Schema of the value."""
        return {"type": "boolean"}


@dataclass(frozen=True)
class Version(_Word):
    """The version of the file format."""

    def read(self, value: object) -> int:
        """The version."""
        if value != 1 or isinstance(value, bool):
            raise refusal("1, the only version of this file format so far")
        return 1

    def schema(self) -> dict[str, Any]:
        """JSON Schema of the value."""
        return {"const": 1}


def _within(value: float, low: float, high: float, unit: str) -> float:
    if value < low:
        raise refusal(f"{low:.12g}{unit} or more")
    if value > high:
        raise refusal(f"{high:.12g}{unit} or less")
    return value


def _written(value: object) -> str | None:
    """A text, or a whole number as a text. A point needs quotes: 1.10 would come to us as 1.1."""
    if isinstance(value, float):
        raise refusal("a number with a point only in quotes, to be kept as it is written")
    if isinstance(value, int) and not isinstance(value, bool):
        return str(value)
    return value if isinstance(value, str) else None


_COORDINATE: Final = Length(-1_000_000, 1_000_000)

Id = Annotated[str, Name()]
ShortId = Annotated[str, Name(20)]
Line = Annotated[str, Text()]
Yes = Annotated[bool, YesNo()]
Place = Annotated[int, _COORDINATE]
Corner = Annotated[tuple[int, int], Pair()]
Extent = Annotated[int, Length(100, 100_000)]  # of a wall
Size = Annotated[int, Length(10, 100_000)]  # of a thing on it
Depth = Annotated[int, Length(0, 5_000)]
