"""All figures of all options of one wall, and what is wanted of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from innerleaf.design.choice import criteria as by
from innerleaf.design.choice.criteria import Figures, Floats
from innerleaf.design.choice.cross import Cross, cross_of, thickness_of
from innerleaf.design.choice.estimate import Estimate
from innerleaf.design.choice.frame import FrameModel, calculated_height, hung_load_limits
from innerleaf.design.choice.heat import HeatModel, heat_many
from innerleaf.design.choice.lawful import hung_load
from innerleaf.design.choice.moist import moisture_many
from innerleaf.design.choice.options import Options
from innerleaf.design.choice.quick import quick_or_full
from innerleaf.design.choice.rooms import between_rooms
from innerleaf.design.choice.sound import SoundModel, from_layers
from innerleaf.design.choice.trial import Trials, set_trials
from innerleaf.design.choice.wanted import Wanted
from innerleaf.design.climate import SiteClimate
from innerleaf.design.frame.wall import frame_verdicts
from innerleaf.design.moisture.transient_years import Settled
from innerleaf.job.outline import greatest_chord
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.practice.prices import PriceList
from innerleaf.survey.wall import Wall
from innerleaf.verdicts import Verdict

YearsModel = Callable[[WallPlan], Settled | str]  # what the years say of a plan, or why nothing

_MEASURED_CLASS = 5  # humidity class without an upper limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Models:
    """What judges options; each can be exchanged for a quicker or a better one."""

    heat: HeatModel = quick_or_full
    sound: SoundModel = from_layers
    frame: FrameModel = calculated_height


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What all walls of a job have in common when linings are chosen.

    Without ``years`` no finalist is followed through them.
    """

    practice: Practice
    prices: PriceList
    climate: SiteClimate | None = None
    years: YearsModel | None = None
    models: Models = field(default_factory=Models)


@dataclass(frozen=True, slots=True, eq=False)
class Evaluated:
    """Options with their figures, the trials they rest on, and what could not be judged and why."""

    options: Options
    figures: Figures
    trials: Trials
    notes: tuple[str, ...]


def evaluate(wall: Wall, options: Options, setting: Setting) -> Evaluated:
    """Judge every option; those that need an article without a price fall away.

    Raises
    ------
    InputError
        A value of the wall's layers cannot be.
    """
    practice = setting.practice
    trials = set_trials(wall, options, practice)
    estimate = Estimate(options, trials, practice, setting.prices)
    cost = estimate.material() + estimate.labour()
    known = np.isfinite(cost)
    if not known.all():
        options, trials = options.only(known), Trials(trials.trials, trials.of[known])
        estimate = Estimate(options, trials, practice, setting.prices)
        cost = cost[known]
    cross = cross_of(wall, options, practice)
    thickness = thickness_of(wall, options, practice)
    values: dict[str, Floats] = {
        by.COST.key: cost,
        by.HOURS.key: estimate.hours(),
        by.THICKNESS.key: thickness,
        by.FLOOR.key: thickness * wall.length_mm / 1e6,
        by.MASS.key: estimate.mass(),
        by.WASTE.key: estimate.waste(),
        by.CARBON.key: estimate.carbon(),
        by.HEIGHT.key: _heights(options, setting),
        by.LOAD.key: hung_load_limits(1000 * cross.boards.thickness, practice),
        by.FRAME.key: _frames(trials, practice),
    }
    notes = list(_physics(wall, options, cross, trials, setting, values))
    return Evaluated(options, Figures(values), trials, tuple(notes))


def _physics(
    wall: Wall, options: Options, cross: Cross, trials: Trials, setting: Setting, values: dict[str, Floats]
) -> Iterator[str]:
    """Fill in heat, moisture and sound as far as they can be judged; say what cannot and why."""
    practice, models, climate = setting.practice, setting.models, setting.climate
    share = share_of_outside(wall, practice)
    if not wall.construction:
        yield "heat, moisture and sound are not judged: the job does not say what the old wall is made of"
        return
    if share:
        edges = wall.targets.frsi is not None
        heat = heat_many(wall, options, cross, trials, practice, models.heat, edges=edges)
        values[by.U_VALUE.key] = heat.u
        if edges:
            values[by.FRSI.key] = 1 - share * (1 - heat.factor)
    if wall.other_side == "outside" and wall.humidity_class != _MEASURED_CLASS:
        if climate is None:
            yield "moisture is not judged: the job gives no monthly temperature and humidity of the site"
        else:
            peak, left = moisture_many(wall, options, cross, practice, climate)
            values[by.GATHERED.key], values[by.LEFT.key] = 1000 * peak, 1000 * left
    sound = models.sound(wall, options, cross, practice)
    if sound is None:
        yield "sound is not judged: the old wall lies outside what the model knows"
    else:
        values[by.SOUND_GAIN.key], values[by.SOUND_REDUCTION.key] = sound.gain, sound.reduction
        rooms = between_rooms(wall, options, sound.gain, practice)
        if rooms:
            values[by.ROOM_GAIN.key], values[by.ROOM_REDUCTION.key] = rooms
        yield f"sound: {sound.method}"


def share_of_outside(wall: Wall, practice: Practice) -> float:
    """The wall's temperature difference as a share of that to outside."""
    shares = {
        "outside": 1.0,
        "stair": practice.rules.loss_share_stair_percent / 100,
        "ground": practice.rules.loss_share_ground_percent / 100,
    }
    return shares.get(wall.other_side, 0.0)


def _heights(options: Options, setting: Setting) -> Floats:
    """The greatest height of every option's frame. [mm]"""
    practice, model = setting.practice, setting.models.frame
    heights = [model(system, practice, tiled=options.tiled) for system in options.systems]
    return np.asarray(np.floor(np.array(heights))[options.system])


def frame_load(verdicts: Sequence[Verdict]) -> float:
    """The load on a frame as a share of what it may be, where it comes nearest to that. [%]"""
    return max((100 * verdict.value / verdict.limit for verdict in verdicts), default=0.0)


def _frames(trials: Trials, practice: Practice) -> Floats:
    """As the trial is set out: what holds members hardly depends on what lies between them."""
    loads = [frame_load(frame_verdicts(trial.plan, practice)) for trial in trials.trials]
    return np.array(loads)[trials.of]


def wanted_of(wall: Wall, figures: Figures, practice: Practice) -> tuple[tuple[Wanted, ...], tuple[str, ...]]:
    """What is wanted of the wall's lining; and which targets nothing can be said about.

    Besides the targets of the job: the frame is high enough and bears what comes, what hangs on it may hang
    there, and where the monthly method can be applied no more water gathers than the rule allows and none
    stays.
    """
    targets, rules = wall.targets, practice.rules
    job, rooms = "the job", "the job; ISO 12354-1 with what goes round the wall"
    gain, reduction = targets.sound_gain_db, targets.sound_reduction_db
    asked = [
        Wanted(by.THICKNESS, targets.thickness_max_mm, job) if targets.thickness_max_mm else None,
        Wanted(by.U_VALUE, targets.u_value_w_m2k, job) if targets.u_value_w_m2k else None,
        Wanted(by.FRSI, targets.frsi, job) if targets.frsi is not None else None,
        Wanted(by.SOUND_GAIN, gain, job) if gain is not None else None,
        Wanted(by.ROOM_GAIN, gain, rooms) if gain is not None and by.ROOM_GAIN in figures else None,
        Wanted(by.SOUND_REDUCTION, reduction, job) if reduction is not None else None,
        Wanted(by.ROOM_REDUCTION, reduction, rooms)
        if reduction is not None and by.ROOM_REDUCTION in figures
        else None,
        Wanted(by.HEIGHT, greatest_chord(wall.outline), "the tallest member"),
        Wanted(by.FRAME, 100.0, "DIN 4103-1, EN 1993-1-3, by calculation"),
        Wanted(by.LOAD, hung_load(wall), "what hangs on the wall") if wall.loads else None,
        Wanted(by.GATHERED, rules.condensate_limit_g_m2, "the rule condensate_limit_g_m2, ISO 13788")
        if by.GATHERED in figures
        else None,
        Wanted(by.LEFT, 0.0, "ISO 13788: dry again within the year") if by.LEFT in figures else None,
    ]
    wanted = [each for each in asked if each]
    judged = tuple(each for each in wanted if each.criterion in figures)
    unjudged = [f"{each.show()}: not judged" for each in wanted if each.criterion not in figures]
    if targets.fire_class:
        unjudged.append(f"fire class {targets.fire_class}: a tested system and a licensed designer decide")
    return judged, tuple(unjudged)
