"""The forms of a job begun step by step: what the job says, as fields; what was typed, as new text."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from innerleaf.job.begin import (
    begun,
    id_of,
    sides_of,
    suggestions,
    with_lining,
    with_room,
    with_site,
    with_targets,
    with_wall,
)
from innerleaf.job.schema import CHOOSE
from innerleaf.practice.climates import typical_climates
from innerleaf.reading import Text, value_at
from innerleaf.units import CUSTOMARY, from_customary, show_length, to_customary, to_mm
from innerleaf.web.manner import manner
from innerleaf.web.typed import Form, as_typed

SIDES, LAYERS, OPENINGS = 4, 4, 3  # rows that stand ready
_OPENING: Final = ("kind", "x", "sill", "width", "height", "reveal")
_LOAD: Final = ("x", "y", "width", "depth")
_TARGETS: Final = ("u_value", "sound_gain", "thickness")
_KEPT: Final = "kept"  # of a climate that is none of those to begin with
_U: Final = "W/(m²·K)"


def first_text(form: Form) -> str:
    """A new job of what was typed of its site."""
    site, firm, why = _site(form, {})
    return begun(site, {key: part for key, part in firm.items() if part}, why)


def text_after(step: str, text: str, read: Text, form: Form) -> str:
    """The job file after a step; faults of the form itself stand in its errors."""
    return _TEXTS[step](text, read, form)


def fields_of(step: str, value: Any) -> dict[str, str]:
    """What a job says of a step, by field."""
    return {name: as_typed(said) for name, said in _FIELDS[step](value).items()}


def _site(form: Form, value: Any) -> tuple[dict[str, Any], dict[str, Any], str]:
    site = {"name": form.text("name"), "place": form.text("place"), "practice": form.text("practice")}
    chosen = typical_climates().get(form.text("climate") or "")
    if chosen:
        site["climate"] = chosen.as_written()  # type: ignore[assignment]
    elif form.text("climate") != _KEPT:
        site["climate"] = None
    kept = {key: part for key, part in site.items() if part is not None or value_at(value, ("site", key))}
    kept.setdefault("name", "")
    return kept, {"name": form.text("firm")}, chosen.source if chosen else ""


def _after_site(text: str, read: Text, form: Form) -> str:
    site, firm, _ = _site(form, read.value)
    return with_site(text, read, site, firm)


def _site_fields(value: Any) -> dict[str, Any]:
    site = value.get("site") or {}
    known = {key: climate.as_written() for key, climate in typical_climates().items()}
    climate = site.get("climate")
    chosen = next((key for key, months in known.items() if months == climate), _KEPT if climate else "")
    fields = {key: site.get(key) for key in ("name", "place", "practice")}
    return fields | {"climate": chosen, "firm": value_at(value, ("firm", "name"))}


def _after_room(text: str, read: Text, form: Form) -> str:
    name = form.text("name") or ""
    room = {
        "id": value_at(read.value, ("rooms", 0, "id")) or id_of(name, [], "room"),
        "name": name or None,
        "storey": form.text("storey"),
        "height": form.length("height"),
    }
    sides = []
    for number in form.rows("sides"):
        length = form.length(f"sides[{number}].length")
        if length is None:
            continue
        turn = form.number(f"sides[{number}].turn")
        sides.append({"length": length} | ({"turn": turn} if turn not in (None, 90) else {}))
    return with_room(text, read, room, sides)


def _room_fields(value: Any) -> dict[str, Any]:
    room = value_at(value, ("rooms", 0)) or {}
    fields = {key: room.get(key) for key in ("name", "storey", "height")}
    for number, side in enumerate(sides_of(value)):
        fields |= {f"sides[{number}].{key}": side.get(key) for key in ("length", "turn")}
    return fields


def _after_wall(text: str, read: Text, form: Form) -> str:
    sides = sides_of(read.value)
    chosen = form.text("side") or ""
    side = int(chosen) if chosen.isdigit() and int(chosen) < len(sides) else None
    facing = form.text("orientation")
    wall = {
        "name": form.text("name"),
        "length": form.length("length") or (sides[side]["length"] if side is not None else None),
        "height": form.length("height"),
        "other_side": form.text("other_side"),
        "orientation": int(facing) if facing and facing.isdigit() else facing,
        "openings": [_opening(form, number) for number in form.rows("openings")] or None,
    }
    layers = [
        {"material": form.text(f"[{number}].material"), "thickness": form.length(f"[{number}].thickness")}
        for number in form.rows("")
        if form.text(f"[{number}].material")
    ]
    return with_wall(text, read, wall, layers, side)


def _opening(form: Form, number: int) -> dict[str, Any]:
    start = f"openings[{number}]."
    said = {key: form.length(start + key) for key in _OPENING[1:]}
    if form.text(start + "kind") == "door":
        said["sill"] = None
    made = {"kind": form.text(start + "kind"), **said}
    return {key: part for key, part in made.items() if part is not None}


def _wall_fields(value: Any) -> dict[str, Any]:
    wall = value_at(value, ("walls", 0)) or {}
    fields = {key: wall.get(key) for key in ("name", "length", "height", "other_side", "orientation")}
    sides = value_at(value, ("rooms", 0, "sides")) or []
    on = next((at for at, side in enumerate(sides) if wall and side.get("wall") == wall.get("id")), None)
    fields["side"] = on if wall else 0
    for number, opening in enumerate(wall.get("openings") or []):
        fields |= {f"openings[{number}].{key}": opening.get(key) for key in _OPENING}
    named = value_at(value, ("constructions", str(wall.get("construction"))))
    for number, layer in enumerate(named or suggestions()["constructions"]["brick"]):
        fields |= {f"[{number}].{key}": layer.get(key) for key in ("material", "thickness")}
    return fields


def _after_targets(text: str, read: Text, form: Form) -> str:
    before = value_at(read.value, ("walls", 0, "targets")) or {}
    kept = {key: part for key, part in before.items() if key not in (*_TARGETS, "moisture", "frsi")}
    u_value = form.number("targets.u_value")
    if manner().unit == "in" and isinstance(u_value, int | float):
        u_value = round(float(from_customary(u_value, CUSTOMARY[_U][0])[0]), 4)
    wanted = {
        "u_value": u_value,
        "sound_gain": form.number("targets.sound_gain"),
        "thickness": form.length("targets.thickness"),
        "frsi": form.number("targets.frsi"),
        "moisture": True if form.text("targets.moisture") else None,
    }
    loads = list(value_at(read.value, ("walls", 0, "loads")) or [])
    mass = form.number("loads[0].mass")
    if mass is not None:
        said = {key: form.length(f"loads[0].{key}") for key in _LOAD} | {"mass": mass}
        loads[:1] = [{key: part for key, part in said.items() if part is not None}]
    else:
        del loads[:1]
    return with_targets(text, read, wanted | kept, loads)


def _target_fields(value: Any) -> dict[str, Any]:
    targets = value_at(value, ("walls", 0, "targets")) or {}
    fields = {f"targets.{key}": targets.get(key) for key in (*_TARGETS, "frsi", "moisture")}
    u_value = targets.get("u_value")
    if manner().unit == "in" and u_value is not None:
        fields["targets.u_value"] = f"{float(to_customary(u_value, _U)[0]):.4f}"
    load = value_at(value, ("walls", 0, "loads", 0)) or {}
    return fields | {f"loads[0].{key}": load.get(key) for key in (*_LOAD, "mass")}


def _after_lining(text: str, read: Text, form: Form) -> str:
    known = [*(read.value.get("linings") or {}), *suggestions()["linings"], CHOOSE]
    name = form.text("lining") or ""
    if name not in known:
        form.errors["lining"] = ", ".join(known)
        return text
    return with_lining(text, read, name)


def _lining_fields(value: Any) -> dict[str, Any]:
    return {"lining": value_at(value, ("walls", 0, "lining"))}


_TEXTS: Final[Mapping[str, Callable[[str, Text, Form], str]]] = {
    "site": _after_site,
    "room": _after_room,
    "wall": _after_wall,
    "targets": _after_targets,
    "lining": _after_lining,
}
_FIELDS: Final[Mapping[str, Callable[[Any], dict[str, Any]]]] = {
    "site": _site_fields,
    "room": _room_fields,
    "wall": _wall_fields,
    "targets": _target_fields,
    "lining": _lining_fields,
}


def side_lengths(value: Any) -> list[str]:
    """The lengths of the sides of the first room, as whoever asks reads them."""
    return [
        show_length(to_mm(side["length"]), manner().unit) for side in sides_of(value) if side.get("length")
    ]
