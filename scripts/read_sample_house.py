"""Read the walls of the published sample house off its IFC model, as a job file.

    python scripts/read_sample_house.py PATH/sample-house-ifc4.ifc > examples/sample-house/job.yaml

A lining covers what a room sees of a wall. So every face of every wall is cut to the room in front of
it, less what other walls cover where they butt against it, and turned so that x counts from the left
as seen from the room. What the model says in doubtful ways becomes a question on the wall.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import ifcopenshell
import ifcopenshell.geom
import ifcopenshell.util.element
import ifcopenshell.util.placement
import numpy as np
import shapely
from shapely.affinity import scale, translate

TOUCH_MM: Final = 1.0  # two things nearer than this touch
GRID_MM: Final = 0.01  # the model's own coordinates carry noise far below this
LEAST_HEIGHT_MM: Final = 600  # lower faces (the edge of the roof void) are not lined

# Materials as the model names them, and as the practice set does.
MATERIALS: Final = {
    "Brick, Common": "brick-outer-leaf",
    "Fiberglass Batt": "mineral-wool",
    "Concrete Masonry Units _Low Density": "aggregate-block",
    "Plaster": "gypsum-plaster-1000",
    "Metal Stud Layer": "mineral-wool",  # taken as filled; a question asks
}
LAYERS_ASKED: Final = "No layer thicknesses in the model; these come from a name, made up to {} mm. Right?"
STUDS_ASKED: Final = (
    "In this partition the model shows metal studs and no more. Where are they, and is it filled?"
)
REVEAL_ASKED: Final = "The model does not say where in the wall the frame stands. How deep is the reveal?"
END_ASKED: Final = "Here the model shows a glazed front. How does the lining end against it?"

HEAD: Final = """\
# The sample house: walls of a published building model, read off it by scripts/read_sample_house.py.
#
# Read: Ifc4_SampleHouse.ifc of the public collection youshengCode/IfcSampleFiles (IFC4, architecture):
# outlines, openings, layers, and what the ends meet. Ours: the linings, and that there are any. Each
# face is planned with both ways to build: -b on brackets, -s free-standing. Glazed fronts are no walls to
# line and are left out, so are faces under 600 mm high. In the rooms a ceiling hangs at 2200 mm; the
# lining goes on behind it up to the slab.
#
# Whole millimetres, halves up; x counts from the left as seen from the room, y from the floor.
format: 1

site:
  name: Sample house (published model)

constructions:
"""
LININGS: Final = """\

linings:
  bracketed:
    way: bracketed
    profile: CD-60-27
    spacing: 600
    boards: [board-A-12.5]
    insulation_behind: [wool-40]
    gap: 40
    membrane: membrane-variable
  standing:
    way: stud and track
    profile: CW-50
    spacing: 600
    boards: [board-A-12.5, board-A-12.5]
    insulation: [wool-50]
    gap: 10
    membrane: membrane-variable

"""


@dataclass(frozen=True, slots=True)
class Hole:
    """A door or window of a face. [mm]"""

    kind: str
    x: int
    sill: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Face:
    """What one room sees of one wall, x from the left, y from the floor. [mm]"""

    room: str
    construction: str
    outside: bool
    outline: tuple[tuple[int, int], ...]
    holes: tuple[Hole, ...]
    left: str
    right: str
    roof: bool
    questions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Solid:
    """A thing of the model and its triangles in the building's coordinates. [mm]"""

    entity: Any
    triangles: np.ndarray


def read_model(path: Path) -> tuple[dict[str, list[tuple[str, float]]], list[Face]]:
    """Constructions (outside to inside, or one side to the other) and faces, in the model's order."""
    model = ifcopenshell.open(str(path))
    rooms = [_solid(space) for space in model.by_type("IfcSpace")]
    walls = [_solid(wall) for wall in model.by_type("IfcWall")]
    constructions = {_construction(wall.entity): _layers(wall) for wall in walls}
    faces = [
        face
        for wall in walls
        for room in rooms
        if (face := _face(wall, room, [other for other in walls if other is not wall]))
    ]
    return constructions, faces


def _solid(entity: Any) -> Solid:
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)
    shape: Any = ifcopenshell.geom.create_shape(settings, entity)
    points = np.array(shape.geometry.verts).reshape(-1, 3) * 1000
    return Solid(entity, points[np.array(shape.geometry.faces).reshape(-1, 3)])


def _external(wall: Any) -> bool:
    return bool(ifcopenshell.util.element.get_pset(wall, "Pset_WallCommon", "IsExternal"))


def _construction(wall: Any) -> str:
    return "outside-wall" if _external(wall) else "partition"


def _layers(wall: Solid) -> list[tuple[str, float]]:
    """Layers as the model says them; where it says only materials, thicknesses from the type's name."""
    material: Any = ifcopenshell.util.element.get_material(wall.entity)
    if material.is_a("IfcMaterialLayerSetUsage"):
        return [(MATERIALS[m.Material.Name], m.LayerThickness) for m in material.ForLayerSet.MaterialLayers]
    name = str(ifcopenshell.util.element.get_pset(wall.entity, "Pset_WallCommon", "Reference"))
    said = [int(number) for number in re.findall(r"(\d+)[A-Z]", name)]
    cut_off = [number % 5 != 0 for number in said]  # 102 for 102.5
    missing = (_thickness(wall) - sum(said)) / sum(cut_off)
    return [
        (MATERIALS[m.Name], number + missing * cut)
        for m, number, cut in zip(material.Materials, said, cut_off, strict=True)
    ]


def _thickness(wall: Solid) -> float:
    across = _turned(wall, wall.entity)[..., 1]
    return round(float(across.max() - across.min()), 1)


def _turned(solid: Solid, wall: Any) -> np.ndarray:
    """Triangles in a wall's own coordinates: x along it, y through it, z up from the building's datum."""
    placement = ifcopenshell.util.placement.get_local_placement(wall.ObjectPlacement)
    return (solid.triangles - placement[:3, 3]) @ placement[:3, :3]


def _in_plane(triangles: np.ndarray, y: float) -> Any:
    """The part of a surface that lies in the plane y, as seen along y."""
    flat = triangles[(np.abs(triangles[..., 1] - y) < TOUCH_MM).all(axis=1)]
    parts = [p for t in flat if (p := shapely.Polygon(t[:, [0, 2]])).area > TOUCH_MM]
    return shapely.union_all(parts, grid_size=GRID_MM)


def _face(wall: Solid, room: Solid, others: list[Solid]) -> Face | None:
    body, space = _turned(wall, wall.entity), _turned(room, wall.entity)
    for y, way in ((body[..., 1].min(), -1), (body[..., 1].max(), 1)):
        touching = np.abs(space[..., 1] - y) < TOUCH_MM
        if not touching.any() or (way * (space[..., 1] - y)).max() < TOUCH_MM:
            continue
        along = space[touching][:, 0]
        floor = space[..., 2].min()
        window = shapely.box(along.min(), floor, along.max(), space[..., 2].max())
        holes = [hole for hole in _holes(wall.entity) if window.contains(hole[1].centroid)]
        parts = [_in_plane(body, y), *(shape for _, shape in holes)]
        seen = shapely.union_all(parts, grid_size=GRID_MM).intersection(window)
        covered = [_in_plane(_turned(other, wall.entity), y) for other in others]
        seen = max(shapely.get_parts(seen.difference(shapely.union_all(covered))), key=lambda p: p.area)
        low, high = seen.bounds[1], seen.bounds[3]
        if high - low < LEAST_HEIGHT_MM:
            continue
        return _seen_from_room(wall, room, others, seen, holes, y, way, floor)
    return None


def _holes(wall: Any) -> Iterator[tuple[str, Any]]:
    """Openings as rectangles of the elevation."""
    for relation in wall.HasOpenings:
        opening = relation.RelatedOpeningElement
        filled = [fill.RelatedBuildingElement for fill in opening.HasFillings]
        kind = "door" if filled and filled[0].is_a("IfcDoor") else "window"
        corners = _turned(_solid(opening), wall).reshape(-1, 3)
        low, high = corners.min(axis=0), corners.max(axis=0)
        yield kind, shapely.box(low[0], low[2], high[0], high[2])


def _seen_from_room(
    wall: Solid,
    room: Solid,
    others: list[Solid],
    seen: Any,
    holes: list[tuple[str, Any]],
    y: float,
    way: int,
    floor: float,
) -> Face:
    """The face turned towards the reader: seen against +y x runs to the right, else to the left."""
    ends = [_end(seen, x, y + way * 20, others, wall.entity) for x in (seen.bounds[0], seen.bounds[2])]
    left, right = ends if way < 0 else ends[::-1]

    def turned(shape: Any) -> Any:
        return scale(shape, xfact=-way, origin=(0, 0))

    x0 = turned(seen).bounds[0]
    ring = turned(seen).simplify(TOUCH_MM / 2).exterior
    outline = [(_whole(x - x0), _whole(z - floor)) for x, z in ring.coords[:-1]]
    if not ring.is_ccw:
        outline.reverse()
    start = outline.index(min(outline, key=lambda corner: (corner[1], corner[0])))
    found = []
    for kind, hole in holes:
        a, b, c, d = translate(turned(hole), -x0, -floor).bounds
        found.append(Hole(kind, _whole(a), _whole(b), _whole(c - a), _whole(d - b)))
    outside = _external(wall.entity)
    questions = [LAYERS_ASKED.format(round(_thickness(wall))) if outside else STUDS_ASKED]
    questions += [REVEAL_ASKED] if any(hole.kind == "window" for hole in found) else []
    questions += [END_ASKED] if "open end" in (left, right) else []
    return Face(
        room=room.entity.LongName,
        construction=_construction(wall.entity),
        outside=outside,
        outline=tuple(outline[start:] + outline[:start]),
        holes=tuple(sorted(found, key=lambda hole: hole.x)),
        left=left,
        right=right,
        roof=floor > TOUCH_MM,
        questions=tuple(questions),
    )


def _end(seen: Any, x: float, y: float, others: list[Solid], wall: Any) -> str:
    """What the face meets at an end: look a little beyond it, before the face, above its foot."""
    middle = seen.centroid.x
    upright = seen.intersection(shapely.box(x - 1, seen.bounds[1], x + 1, seen.bounds[3]))
    if upright.bounds[3] - upright.bounds[1] < 50:
        return ""  # the outline runs out to no height
    point = np.array([x + (10 if x > middle else -10), y, seen.bounds[1] + 50])
    for other in others:
        corners = _turned(other, wall).reshape(-1, 3)
        if (corners.min(axis=0) <= point).all() and (point <= corners.max(axis=0)).all():
            return "masonry" if _external(other.entity) else "partition"
    return "open end"


def _whole(value: float) -> int:
    return int(np.floor(round(value, 3) + 0.5))


def job_text(constructions: dict[str, list[tuple[str, float]]], faces: list[Face]) -> str:
    """The job file."""
    lines = []
    for name, layers in constructions.items():
        lines.append(f"  {name}:")
        lines += [f"    - {{material: {item}, thickness: {thickness:.12g}}}" for item, thickness in layers]
    text = HEAD + "\n".join(lines) + "\n" + LININGS
    rooms = dict.fromkeys(face.room for face in faces)
    text += "rooms:\n"
    text += "".join(f"  - {{id: {_id(room)}, name: {room.lower()}}}\n" for room in rooms)
    text += "\nwall_types: # one for each face of the model\n"
    text += "".join(f"  face-{n:02d}:\n{_face_text(face)}" for n, face in enumerate(faces, 1))
    text += "\nwalls:\n"
    for n, face in enumerate(faces, 1):
        for mark, lining in (("b", "bracketed"), ("s", "standing")):
            wall = f"id: W-{n:02d}-{mark}, room: {_id(face.room)}, type: face-{n:02d}, lining: {lining}"
            text += f"  - {{{wall}}}\n"
    return text


def _id(room: str) -> str:
    return room.lower().replace(" ", "-")


def _face_text(face: Face) -> str:
    meets = {
        "left": face.left,
        "right": face.right,
        "floor": "concrete slab" if face.roof else "screed",
        "ceiling": "roof slope" if face.roof else "concrete slab",
    }
    lines = [
        f"construction: {face.construction}",
        f"other_side: {'outside' if face.outside else 'heated'}",
        f"outline: {[list(corner) for corner in face.outline]}",
        "meets: {" + ", ".join(f"{side}: {what}" for side, what in meets.items() if what) + "}",
    ]
    if face.holes:
        lines.append("openings:")
        lines += [
            f"  - {{kind: {h.kind}, x: {h.x}, sill: {h.sill}, width: {h.width}, height: {h.height}}}"
            for h in face.holes
        ]
    lines += ["questions:", *(f"  - {question}" for question in face.questions)]
    return "".join(f"    {line}\n" for line in lines)


if __name__ == "__main__":
    sys.stdout.write(job_text(*read_model(Path(sys.argv[1]))))
