"""What lies behind what: the layers of old wall and lining by depth."""

from __future__ import annotations

from dataclasses import dataclass

from innerleaf.documents.sheet import Hatch
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import InsulationPlace

_HATCH_WORDS = (
    (Hatch.INSULATION, ("wool", "insulation", "foam", "polystyrene", "polyurethane", "cork", "eps", "xps")),
    (Hatch.CONCRETE, ("concrete", "screed")),
    (Hatch.PLASTER, ("plaster", "render", "mortar", "stucco")),
    (Hatch.GYPSUM, ("gypsum", "board")),
    (Hatch.TIMBER, ("timber", "wood", "spruce", "oak", "log")),
    (Hatch.STONE, ("stone", "rubble", "granite", "slate")),
    (Hatch.BRICK, ("brick", "clay")),
)


def material_hatch(material: str) -> Hatch:
    """The filling for a material by the words in its id; masonry of unknown kind is drawn as block."""
    name = material.lower()
    return next((hatch for hatch, words in _HATCH_WORDS if any(word in name for word in words)), Hatch.BLOCK)


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of a section, from ``start_mm`` to ``end_mm`` off the old wall's reference plane."""

    name: str
    start_mm: float
    end_mm: float
    hatch: Hatch


@dataclass(frozen=True, slots=True)
class BuildLayers:
    """Everything a section shows, by depth."""

    old: tuple[Layer, ...]  # outside first
    insulation: tuple[tuple[Layer, InsulationPlace], ...]
    boards: tuple[Layer, ...]
    frame_back_mm: float
    frame_front_mm: float


def build_layers(plan: WallPlan, practice: Practice) -> BuildLayers:
    """Depths of all layers of a wall, counted into the room."""
    wall, up = plan.wall, plan.build_up
    depth = -1.0 * sum(layer.thickness_mm for layer in wall.construction)
    old: list[Layer] = []
    for layer in wall.construction:
        hatch = material_hatch(layer.material)
        old.append(
            Layer(f"{layer.material} {layer.thickness_mm:g}", depth, depth + layer.thickness_mm, hatch)
        )
        depth += layer.thickness_mm
    if not old:
        old = [Layer("existing wall, make not surveyed", -150, 0, Hatch.BLOCK)]
    front = float(up.frame_back_mm + up.frame_depth_mm)
    insulation: list[tuple[Layer, InsulationPlace]] = []
    behind, between = 0.0, front
    for wanted in wall.lining.insulation:
        thick = practice.insulation[wanted.item].thickness_mm
        name = f"{wanted.item}, {thick:g}"
        if wanted.place is InsulationPlace.BEHIND:
            insulation.append((Layer(name, behind, behind + thick, Hatch.INSULATION), wanted.place))
            behind += thick
        else:
            insulation.append(
                (Layer(name, max(0.0, between - thick), between, Hatch.INSULATION), wanted.place)
            )
            between -= thick
    boards: list[Layer] = []
    face = front
    for number, item in enumerate(wall.lining.boards, 1):
        board_mm = practice.boards[item].thickness_mm
        boards.append(Layer(f"layer {number}: {item}, {board_mm:g}", face, face + board_mm, Hatch.GYPSUM))
        face += board_mm
    return BuildLayers(tuple(old), tuple(insulation), tuple(boards), up.frame_back_mm, front)
