"""What the entries of a practice set must have to do with each other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from innerleaf.practice.model import ConsumableUse, Material, Practice, Profile, ProfileUse

_TAKEN_BY: Final = {ProfileUse.STUD: ProfileUse.TRACK, ProfileUse.CHANNEL: ProfileUse.PERIMETER}
_UNITS: Final = ("mm", "piece", "kg")
# A least value and the greatest it must stay below.
_ORDERED_RULES: Final = (
    ("bracket_end_distance_min_mm", "bracket_end_distance_max_mm"),
    ("screw_spacing_final_max_mm", "screw_spacing_first_max_mm"),
    ("coat_1_width_mm", "coat_2_width_mm"),
    ("coat_2_width_mm", "coat_3_width_mm"),
    ("member_spacing_tiled_mm", "member_spacing_max_mm"),
)

# Labels on their sheet: how many, how large, with which gap, from which edge, on how much paper.
_LABEL_GRID: Final = (
    ("label_columns", "label_width_mm", "label_gap_mm", "label_left_mm", "label_sheet_width_mm"),
    ("label_rows", "label_height_mm", "", "label_top_mm", "label_sheet_height_mm"),
)


@dataclass(frozen=True, slots=True)
class Disagreement:
    """A field of an entry that does not go with the rest of the set."""

    section: str
    key: str
    field: str
    given: object
    accepted: str


def disagreements(practice: Practice) -> Iterator[Disagreement]:
    """Every field that does not go with the others."""
    yield from _rules(practice)
    for key, profile in practice.profiles.items():
        yield from _profile(key, profile, practice)
    for key, bracket in practice.brackets.items():
        if bracket.reach_min_mm >= bracket.reach_max_mm:
            accepted = f"above reach_min_mm ({bracket.reach_min_mm})"
            yield Disagreement("brackets", key, "reach_max_mm", bracket.reach_max_mm, accepted)
    for key, board in practice.boards.items():
        least = 2 * practice.rules.piece_height_min_mm
        if board.lengths_mm[-1] < least:
            accepted = f"a longest length of {least} or more (twice piece_height_min_mm)"
            yield Disagreement("boards", key, "lengths_mm", list(board.lengths_mm), accepted)
    for key, membrane in practice.membranes.items():
        if membrane.lap_mm >= membrane.width_mm:
            accepted = f"less than width_mm ({membrane.width_mm})"
            yield Disagreement("membranes", key, "lap_mm", membrane.lap_mm, accepted)
        if membrane.sd_damp_m > membrane.sd_m:
            accepted = f"at most sd_m ({membrane.sd_m:g}): a film opens when damp, it does not close"
            yield Disagreement("membranes", key, "sd_damp_m", membrane.sd_damp_m, accepted)
    for key, material in practice.materials.items():
        yield from _material(key, material)
    for key, consumable in practice.consumables.items():
        if consumable.unit not in _UNITS:
            yield Disagreement("consumables", key, "unit", consumable.unit, ", ".join(_UNITS))


def gaps(practice: Practice) -> Iterator[str]:
    """Sentences on what the set lacks altogether."""
    served = {consumable.use for consumable in practice.consumables.values()}
    for use in ConsumableUse:
        if use not in served:
            yield f"no consumable serves as {use}."
    for stud in _TAKEN_BY:
        if not any(profile.use is stud for profile in practice.profiles.values()):
            yield f"no profile serves as {stud}."


def _rules(practice: Practice) -> Iterator[Disagreement]:
    values = {note.name: note.value for note in practice.rule_notes}
    for less, more in _ORDERED_RULES:
        if values[less] > values[more]:
            yield Disagreement("rules", less, "value", values[less], f"at most {more} ({values[more]})")
    for number, size, gap, before, sheet in _LABEL_GRID:
        room = values[sheet] - values[before] + values.get(gap, 0)
        most = room // values[number] - values.get(gap, 0)
        if values[size] > most:
            accepted = (
                f"at most {most}, as {number} ({values[number]}) of them lie on {sheet} ({values[sheet]})"
            )
            yield Disagreement("rules", size, "value", values[size], accepted)


def _material(key: str, material: Material) -> Iterator[Disagreement]:
    for field, mu in (("mu_dry", material.mu_dry), ("mu_wet", material.mu_wet)):
        if mu < 1:
            yield Disagreement("materials", key, field, mu, "1 (still air) or more")
    if material.mu_wet > material.mu_dry >= 1:
        accepted = f"at most mu_dry ({material.mu_dry:g}): a damp material lets more vapour through"
        yield Disagreement("materials", key, "mu_wet", material.mu_wet, accepted)


def _profile(key: str, profile: Profile, practice: Practice) -> Iterator[Disagreement]:
    taker = practice.profiles.get(profile.fits)
    wanted = _TAKEN_BY.get(profile.use)
    if wanted is None and profile.fits:
        yield Disagreement("profiles", key, "fits", profile.fits, f"nothing for a {profile.use}")
    if wanted is not None:
        takers = [other.id for other in practice.profiles.values() if other.use is wanted]
        if taker is None or taker.use is not wanted:
            yield Disagreement("profiles", key, "fits", profile.fits, " or ".join(takers) or f"a {wanted}")
        elif taker.depth_mm < profile.depth_mm:
            accepted = f"at most that of {taker.id} ({taker.depth_mm})"
            yield Disagreement("profiles", key, "depth_mm", profile.depth_mm, accepted)
    if 0 < profile.greatest_height_doubled_mm < profile.greatest_height_mm:
        accepted = f"0, or at least greatest_height_mm ({profile.greatest_height_mm})"
        given = profile.greatest_height_doubled_mm
        yield Disagreement("profiles", key, "greatest_height_doubled_mm", given, accepted)
    if profile.splice_overlap_mm >= profile.stock_lengths_mm[-1]:
        accepted = f"less than the longest stock length ({profile.stock_lengths_mm[-1]})"
        yield Disagreement("profiles", key, "splice_overlap_mm", profile.splice_overlap_mm, accepted)
