"""What options are compared by: criteria with a unit, a direction, and a step that nobody looks below."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from innerleaf.errors import InputError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Criterion:
    """One figure of an option. ``step`` is its resolution: figures are compared after rounding to it.

    ``better`` and ``worse`` are the words of a trade: "12 mm thinner", "3 dB less".
    """

    key: str
    title: str
    unit: str
    step: float
    less_is_better: bool = True
    better: str = "less"
    worse: str = "more"

    def show(self, value: float) -> str:
        """The figure as people read it, with its unit."""
        if not np.isfinite(value):
            return "not known"
        digits = max(0, -int(np.floor(np.log10(self.step) + 1e-9)))
        return f"{value:.{digits}f} {self.unit}".rstrip(" -")


THICKNESS: Final = Criterion(
    key="thickness", title="thickness of the lining", unit="mm", step=0.1, better="thinner", worse="thicker"
)
FLOOR: Final = Criterion(key="floor", title="floor area lost", unit="m²", step=0.001)
COST: Final = Criterion(
    key="cost", title="cost, material and labour", unit="EUR", step=0.01, better="cheaper", worse="dearer"
)
HOURS: Final = Criterion(key="hours", title="hours of labour", unit="h", step=0.01)
WASTE: Final = Criterion(key="waste", title="material bought but not built in", unit="kg", step=0.1)
MASS: Final = Criterion(
    key="mass", title="mass of the lining", unit="kg", step=0.1, better="lighter", worse="heavier"
)
CARBON: Final = Criterion(key="carbon", title="embodied carbon", unit="kg CO2e", step=0.1)
U_VALUE: Final = Criterion(key="u_value", title="U-value as set out", unit="W/(m²·K)", step=0.001)
FRSI: Final = Criterion(
    key="frsi",
    title="surface temperature factor at the coldest detail",
    unit="-",
    step=0.001,
    less_is_better=False,
    better="more",
    worse="less",
)
GATHERED: Final = Criterion(key="gathered", title="water gathered in a winter", unit="g/m²", step=1)
LEFT: Final = Criterion(key="left", title="water left after a year", unit="g/m²", step=0.1)
SOUND_GAIN: Final = Criterion(
    key="sound_gain",
    title="improvement of sound reduction",
    unit="dB",
    step=0.1,
    less_is_better=False,
    better="more",
    worse="less",
)
SOUND_REDUCTION: Final = Criterion(
    key="sound_reduction",
    title="sound reduction of the lined wall",
    unit="dB",
    step=0.1,
    less_is_better=False,
    better="more",
    worse="less",
)
HEIGHT: Final = Criterion(
    key="height",
    title="greatest height of the frame",
    unit="mm",
    step=1,
    less_is_better=False,
    better="more",
    worse="less",
)
LOAD: Final = Criterion(
    key="load",
    title="load that may be hung on a metre",
    unit="N/m",
    step=1,
    less_is_better=False,
    better="more",
    worse="less",
)

FRAME: Final = Criterion(key="frame", title="load on the frame by calculation", unit="% of its limit", step=1)
ROOM_GAIN: Final = Criterion(
    key="room_gain",
    title="improvement of R'w between the rooms",
    unit="dB",
    step=0.1,
    less_is_better=False,
    better="more",
    worse="less",
)
ROOM_REDUCTION: Final = Criterion(
    key="room_reduction",
    title="R'w between the rooms, lined",
    unit="dB",
    step=0.1,
    less_is_better=False,
    better="more",
    worse="less",
)
# Through the years, for finalists alone.
WATER_GAIN: Final = Criterion(
    key="water_gain", title="water gained from year to year", unit="% of all water", step=0.1
)
MOULD: Final = Criterion(key="mould", title="mould index behind the insulation", unit="-", step=0.1)
WOOD: Final = Criterion(key="wood", title="moisture of wooden ends in the wall", unit="%", step=0.1)

ALL: Final = (
    COST,
    HOURS,
    THICKNESS,
    FLOOR,
    U_VALUE,
    FRSI,
    GATHERED,
    LEFT,
    SOUND_GAIN,
    SOUND_REDUCTION,
    HEIGHT,
    LOAD,
    FRAME,
    ROOM_GAIN,
    ROOM_REDUCTION,
    WATER_GAIN,
    MOULD,
    WOOD,
    MASS,
    WASTE,
    CARBON,
)
BY_KEY: Final[Mapping[str, Criterion]] = {criterion.key: criterion for criterion in ALL}

# What a person trades against each other; the rest is asked for or not, or follows from these.
TRADED: Final = (COST, THICKNESS, U_VALUE, SOUND_GAIN, HOURS, CARBON, MASS, FRSI)


@dataclass(frozen=True, slots=True, eq=False)
class Figures:
    """Figures of many options: one array of shape (options,) per criterion that could be judged.

    A figure that is not a number is not known for that option.
    """

    values: Mapping[str, Floats]

    def __len__(self) -> int:
        return len(next(iter(self.values.values())))

    def __getitem__(self, criterion: Criterion) -> Floats:
        return self.values[criterion.key]

    def __contains__(self, criterion: Criterion) -> bool:
        return criterion.key in self.values

    def of(self, option: int) -> dict[str, float]:
        """The figures of one option by criterion."""
        return {key: float(values[option]) for key, values in self.values.items()}

    def only(self, keep: Flags | Ints) -> Figures:
        """The figures of some options."""
        return Figures({key: values[keep] for key, values in self.values.items()})

    def comparable(self, criteria: Sequence[Criterion]) -> tuple[Criterion, ...]:
        """Those of ``criteria`` that are known for every option."""
        return tuple(c for c in criteria if c in self and bool(np.isfinite(self[c]).all()))


def losses(figures: Figures, criteria: Sequence[Criterion]) -> Ints:
    """Figures in whole steps, the less the better, shape (options, criteria).

    Raises
    ------
    InputError
        A figure is not known: it cannot be compared.
    """
    columns = []
    for criterion in criteria:
        values = figures[criterion]
        if not np.isfinite(values).all():
            raise InputError(criterion.title, given="not a number", accepted="a figure for every option")
        steps = np.rint(values / criterion.step).astype(np.int64)
        columns.append(steps if criterion.less_is_better else -steps)
    return np.stack(columns, axis=1) if columns else np.zeros((len(figures), 0), np.int64)
