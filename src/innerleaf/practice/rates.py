"""What a firm reckons a price with: people, minutes of work, plant, waste, mark-ups, tax, payments, texts.

Each practice set brings a file of rates; a firm's own file is laid over it. Hours of fitter and helper and
the minutes of the basic operations stand in the price list, because linings are chosen by them
(`practice.prices`); here stands what only a price needs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final, Literal

from innerleaf.practice.prices import Operation


class Extra(StrEnum):
    """Work beyond the basic operations; each has its unit."""

    BAR_CUT = "cut of a bar"  # piece
    SKEW_CUT = "skew end of a bar"  # piece
    INSULATION_CUT = "cut of insulation"  # piece
    BOARD_CUT = "straight cut of a board"  # piece
    NOTCH = "notch in a board"  # piece
    REVEAL = "board of a reveal"  # piece
    BEAD = "setting a bead"  # m
    SCREW_HEADS = "screw heads"  # m² of seen face, one coat
    SANDING = "sanding"  # m² of seen face
    HANDLING = "bringing material to the wall"  # t
    CARRYING = "carrying material up"  # t × storeys
    CLEARING = "clearing up"  # m² of face


UNITS: Final[Mapping[str, str]] = {
    Operation.SETTING_OUT: "m",
    Operation.TRACK: "m",
    Operation.MEMBER: "m",
    Operation.BRACKET: "piece",
    Operation.INSULATION: "m²",
    Operation.MEMBRANE: "m²",
    Operation.BOARD: "m²",
    Operation.BOX: "piece",
    Operation.JOINT: "m × coats",
    Operation.SKIM: "m²",
    Operation.SEALANT: "m",
    Extra.BAR_CUT: "piece",
    Extra.SKEW_CUT: "piece",
    Extra.INSULATION_CUT: "piece",
    Extra.BOARD_CUT: "piece",
    Extra.NOTCH: "piece",
    Extra.REVEAL: "piece",
    Extra.BEAD: "m",
    Extra.SCREW_HEADS: "m² × coats",
    Extra.SANDING: "m²",
    Extra.HANDLING: "t",
    Extra.CARRYING: "t × storeys",
    Extra.CLEARING: "m²",
}
WORKS: Final = tuple(UNITS)
"""All work that is priced, in the order it is done as far as it has one."""

JOINTING: Final = (Operation.JOINT, Extra.BEAD, Extra.SCREW_HEADS, Operation.SKIM, Extra.SANDING)
"""Work that the jointer does in the place of the fitter."""

FITTER, HELPER, JOINTER = "fitter", "helper", "jointer"
PEOPLE: Final = (FITTER, HELPER, JOINTER)


@dataclass(frozen=True, slots=True, kw_only=True)
class InCrew:
    """How many of a trade (its id) work on the job together."""

    id: str
    people: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FurtherWork:
    """What one unit of an operation beyond the basic ones takes. [min]"""

    id: str
    fitter: float = 0.0
    helper: float = 0.0
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """A kind of work that takes so many times the minutes of its operation."""

    id: str
    times: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A single number; ``docs/price.md`` says what each is for."""

    id: str
    value: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteCost:
    """Plant or something else the job needs: so much for the job, a week or a day.

    ``per`` "day above reach": for the days' share of the work above reach, on a platform.
    """

    id: str
    price: float
    per: Literal["job", "week", "day", "day above reach"]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Disposal:
    """What it costs to be rid of what is left over of some groups of material.

    ``tonne`` is paid for each tonne; where ``skip_t`` is above 0, each begun skip of so many tonnes costs
    ``skip`` on top.
    """

    id: str
    groups: tuple[str, ...]
    tonne: float = 0.0
    skip: float = 0.0
    skip_t: float = 0.0
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkUp:
    """Overhead or margin; ``of`` says of what: the cost before it, or the price after it."""

    id: str
    percent: float
    of: Literal["cost", "price"]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskAllowance:
    """Money set aside for something that may happen, as a share of labour, material or all cost."""

    id: str
    percent: float
    of: Literal["labour", "material", "cost"]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Vat:
    """A rate of value added tax that holds from a day on (year-month-day)."""

    id: str
    percent: float
    since: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """A part of the price that falls due when so much of the work is done; 0: when it is ordered."""

    id: str
    percent: float
    done_percent: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """How far an input may lie from its figure: lowest and highest, the figure itself the likeliest. [%]"""

    id: str
    low: float
    high: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Texts:
    """Sentences for the quotation."""

    id: str
    lines: tuple[str, ...]
    source: str


GROUPS: Final = (
    *("frame", "brackets", "fixings", "insulation", "membrane", "boards", "joints", "jointing", "beads"),
    "sealing",
)
"""Groups of material, as a takeoff names them; a test holds the two together."""

FIGURES: Final[Mapping[str, tuple[str, float, float]]] = {
    "hours of a day": ("h", 1, 24),
    "days of a week": ("d", 1, 7),
    "jointing beside framing": ("share", 0, 1),
    "reach": ("mm", 1000, 10_000),
    "more above reach": ("share", 0, 10),
    "small room": ("m²", 0, 1000),
    "more in a small room": ("share", 0, 10),
    "board for one": ("kg", 1, 200),
    "anchor holds from": ("mm", 1, 1000),
    "more with heavy boards": ("share", 0, 10),
    "price rounded to": ("currency", 0.01, 10_000),
    "days until clients pay": ("d", 0, 365),
    "days until suppliers are paid": ("d", 0, 365),
    "days from order to start": ("d", 0, 365),
    "days valid": ("d", 1, 3650),
}
"""Single numbers of a file of rates: unit, least, greatest."""

SPREADS: Final = ("minutes", "each operation", "material prices", "material needed", "days", "waste", "plant")
"""What a price is uncertain by."""

TEXTS: Final = ("included", "not included", "terms")


@dataclass(frozen=True, slots=True, kw_only=True)
class FirmRates:
    """A file of rates, sections by id. Percentages are as written; money in ``currency``."""

    source: str
    currency: str
    date: str
    labour: Mapping[str, float]  # an hour, by trade
    labour_source: str
    minutes: Mapping[str, tuple[float, float, str]]  # fitter, helper and where they come from, by work
    crew: Mapping[str, InCrew]
    kinds: Mapping[str, Times]
    drilling: Mapping[str, Times]
    figures: Mapping[str, Figure]
    plant: Mapping[str, SiteCost]
    preliminaries: Mapping[str, SiteCost]
    waste: Mapping[str, Disposal]
    markups: Mapping[str, MarkUp]
    risk: Mapping[str, RiskAllowance]
    vat: Mapping[str, Vat]
    payments: Mapping[str, Stage]
    spread: Mapping[str, Spread]
    texts: Mapping[str, Texts]

    def figure(self, name: str) -> float:
        """One of the single numbers."""
        return self.figures[name].value
