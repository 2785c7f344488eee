"""`innerleaf section CASE`: reads a text case of heat conduction, solves it, says and draws the answer."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from innerleaf.folder import CannotWrite
from innerleaf.physics.bridges import (
    Bridge,
    bridge_of_boxes,
    bridge_of_parts,
    temperature_factor,
    u_value,
)
from innerleaf.physics.conduction import solve
from innerleaf.physics.conduction_answer import Interval, Solution
from innerleaf.section_file import Case, read_case

__all__ = ["Answer", "Case", "answer_json", "answer_text", "command", "read_case", "run_case"]

_BRIDGE_CHANGE = 0.005  # psi and chi are refined until they move by less than this fraction
_NARROWER = 2.5
_NARROWEST = 1e-8  # a gap that is all rounding
_SMALLEST_BRIDGE = 1e-6  # W/K or W/(m·K): a smaller one may move by that fraction of this
_TRIES = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What a case asked for.

    Couplings, flows and the bridge are those of the whole (``times`` the section). ``bridge_change`` is how
    far psi or chi moved with the last refinement, as a fraction.
    """

    case: Case
    solution: Solution
    coupling: Interval | None
    u: Interval | None
    bridge: Bridge | None
    bridge_change: float

    @property
    def reached(self) -> bool:
        """Whether the accuracy asked for was reached."""
        asked = self.case.accuracy
        gap = asked.gap or (0.001 if self.case.section.dimensions == 2 else 0.0025)
        fine = self.solution.gap <= gap or not self.solution.bounded
        still = self.solution.temperature_change <= asked.kelvin
        return fine and still and (self.bridge is None or self.bridge_change <= _BRIDGE_CHANGE)


def command(path: Path, out: Path | None, as_json: bool) -> str:
    """The whole command: the words to print. ``out`` is a folder, or a file ending in .svg or .png.

    Raises
    ------
    FileFaults, InputError
        The case cannot be used.
    CannotWrite
        The drawing cannot be written there.
    """
    answer = run_case(read_case(path))
    if out is not None:
        _write_pictures(answer, path.stem, out)
    return answer_json(answer) if as_json else answer_text(answer)


def run_case(case: Case) -> Answer:
    """Solve a case to the accuracy it asks for."""
    asks_bridge = bool(case.without) or case.less is not None
    gap, before, change = case.accuracy.gap, math.nan, math.inf
    for attempt in range(_TRIES):
        solution = solve(
            case.section,
            accuracy=gap,
            points=[place for _, place in case.points],
            kelvin=math.inf if asks_bridge and attempt == 0 else case.accuracy.kelvin,
            greatest_cells=case.accuracy.cells,
        )
        bridge = _bridge(case, solution)
        if bridge is None or not solution.bounded:
            break
        change = abs(bridge.value - before) / max(abs(bridge.value), _SMALLEST_BRIDGE)
        if change <= _BRIDGE_CHANGE or (gap is not None and solution.gap > gap):
            break
        before, gap = bridge.value, max(solution.gap, _NARROWEST) / _NARROWER
    coupling = solution.coupling(case.warm, case.cold) * case.times if case.warm else None
    return Answer(
        case=case,
        solution=solution,
        coupling=coupling,
        u=u_value(coupling, case.extent) if coupling and case.extent else None,
        bridge=bridge,
        bridge_change=change,
    )


def _bridge(case: Case, solution: Solution) -> Bridge | None:
    if case.without:
        return bridge_of_boxes(solution, case.without, case.warm, case.cold, times=case.times)
    if case.less is not None:
        coupling = solution.coupling(case.warm, case.cold) * case.times
        return bridge_of_parts(coupling, [(part.factor, part.extent) for part in case.less])
    return None


def _factors(answer: Answer) -> dict[str, float]:
    """FRsi of each warm surface, where there are two temperatures."""
    section = answer.case.section
    outside = min(section.temperatures)
    if len(set(section.temperatures)) != 2:
        return {}
    return {
        each.name: temperature_factor(answer.solution.surface(each.name).least, each.temperature, outside)
        for each in section.surroundings
        if each.temperature > outside
    }


# --- in words -------------------------------------------------------------------------------------


def answer_text(answer: Answer) -> str:
    """The answer as lines to read; lengths in mm."""
    case, solution = answer.case, answer.solution
    flat = case.section.dimensions == 2
    heat, line = ("W/m", "W/(m·K)") if flat else ("W", "W/K")
    lines = [case.title or "Section", ""]
    lines.append(f"Heat taken from each surrounding [{heat}]")
    lines += [
        f"  {each.name:<20} {_interval(solution.flow(each.name) * case.times, 4)}"
        for each in case.section.surroundings
    ]
    if answer.coupling:
        name = "L2D" if flat else "L3D"
        lines += ["", f"{name} = {_interval(answer.coupling, 5)} {line}"]
    if answer.u and case.extent:
        extent = f"{case.extent * 1000:g} mm" if flat else f"{case.extent:g} m²"
        lines += ["", f"U over {extent} = {_interval(answer.u, 5)} W/(m²·K)"]
    if answer.bridge:
        name = "psi" if flat else "chi"
        against = f"without {', '.join(case.without)}" if case.without else "less the parts named"
        lines += ["", f"{name}, {against} = {_interval(answer.bridge.interval, 5)} {line}"]
        lines.append(f"  moved by {answer.bridge_change:.2%} with the last refinement")
    if len(case.section.surroundings) > 2:
        lines += ["", f"Coupling between two surroundings [{line}]"]
        for one, other, value in _mutual(answer):
            lines.append(f"  {one} - {other}: {_interval(value, 4)}")
    lines += ["", "Surface temperatures [°C]"]
    factors = _factors(answer)
    for surface in solution.surfaces:
        factor = f", fRsi {factors[surface.name]:.4f}" if surface.name in factors else ""
        lines.append(
            f"  {surface.name:<20} least {surface.least:.3f} at {_place(surface.least_at)}{factor};"
            f" greatest {surface.greatest:.3f} at {_place(surface.greatest_at)}; mean {surface.mean:.3f}"
        )
    if case.points:
        lines += ["", "Temperatures at points [°C]"]
        lines += [f"  {name:<20} {solution.temperature_at(place):.3f}" for name, place in case.points]
    return "\n".join([*lines, "", *_accuracy(answer)]) + "\n"


def _accuracy(answer: Answer) -> list[str]:
    solution = answer.solution
    lines = [
        "Accuracy",
        f"  {solution.grid.cells} cells, the last of {solution.grids} grids;"
        f" heat in and out differ by {solution.balance:.1e} of the heat that passes",
    ]
    if solution.bounded:
        lines.append(
            f"  interval on the heat that passes: {solution.gap:.3%} wide, guaranteed for this model"
        )
    else:
        lines.append(
            "  no interval: surfaces held at different temperatures meet, so the heat there has no limit;"
            " temperatures away from there are good"
        )
    if solution.grids > 1:
        middle = f"middle moved {solution.change:.4%}, " if solution.bounded else ""
        lines.append(
            f"  from the grid before: {middle}temperatures moved {solution.temperature_change:.4f} K at most"
        )
    lines += [
        f"  conductors touch along an edge alone at {_place(edge)}: no grid is fine enough there;"
        " let them overlap or part"
        for edge in solution.edges
    ]
    if not answer.reached:
        lines.append("  The accuracy asked for was NOT reached; allow more cells or ask for less.")
    return lines


def _interval(interval: Interval, digits: int) -> str:
    if not math.isfinite(interval.low):
        return "without limit"
    return f"{interval.middle:.{digits}f} ({interval.low:.{digits}f} to {interval.high:.{digits}f})"


def _place(place: tuple[float, ...]) -> str:
    return "(" + ", ".join(f"{value * 1000:g}" for value in place) + ")"


def _mutual(answer: Answer) -> list[tuple[str, str, Interval]]:
    names = [each.name for each in answer.case.section.surroundings]
    return [
        (one, other, answer.solution.mutual_coupling(one, other) * answer.case.times)
        for index, one in enumerate(names)
        for other in names[index + 1 :]
    ]


# --- for programs ---------------------------------------------------------------------------------


def answer_json(answer: Answer) -> str:
    """The answer for programs: SI, places in metres; null where a value is not finite."""
    case, solution = answer.case, answer.solution
    factors = _factors(answer)
    found: dict[str, Any] = {
        "ok": True,
        "title": case.title,
        "dimensions": case.section.dimensions,
        "flows": {
            each.name: _pair(solution.flow(each.name) * case.times) for each in case.section.surroundings
        },
        "coupling": _pair(answer.coupling),
        "u_value": _pair(answer.u),
        ("psi" if case.section.dimensions == 2 else "chi"): _pair(
            answer.bridge.interval if answer.bridge else None
        ),
        "mutual_couplings": [
            {"between": [one, other], **(_pair(value) or {})} for one, other, value in _mutual(answer)
        ],
        "surfaces": {
            surface.name: {
                "area": surface.area,
                "least": surface.least,
                "least_at": surface.least_at,
                "greatest": surface.greatest,
                "greatest_at": surface.greatest_at,
                "mean": surface.mean,
                "frsi": factors.get(surface.name),
            }
            for surface in solution.surfaces
        },
        "points": {name: solution.temperature_at(place) for name, place in case.points},
        "accuracy": {
            "reached": answer.reached,
            "gap": _finite(solution.gap) if solution.bounded else None,
            "cells": solution.grid.cells,
            "grids": solution.grids,
            "balance": solution.balance,
            "change": _finite(solution.change),
            "temperature_change": _finite(solution.temperature_change),
            "bridge_change": _finite(answer.bridge_change),
            "edges": [list(edge) for edge in solution.edges],
        },
    }
    return json.dumps(found, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def _pair(interval: Interval | None) -> dict[str, float | None] | None:
    if interval is None:
        return None
    bounds = (interval.middle, interval.low, interval.high)
    return dict(zip(("value", "low", "high"), map(_finite, bounds), strict=True))


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


# --- in pictures ----------------------------------------------------------------------------------


def _write_pictures(answer: Answer, name: str, out: Path) -> None:
    from innerleaf.documents.isotherms import Cut, section_png, section_svg

    picture = answer.case.picture
    cut = None
    if answer.case.section.dimensions == 3:
        first = float(answer.solution.grid.lines[0][0])
        cut = (
            Cut(axis=0, at=first)
            if picture.cut_axis is None
            else Cut(axis=picture.cut_axis, at=picture.cut_at)
        )
    svg = section_svg(
        answer.solution, title=answer.case.title, step=picture.step, flows=picture.flows, cut=cut
    )
    folder = out.parent if out.suffix in (".svg", ".png") else out
    files = [out] if folder != out else [out / f"{name}.svg", out / f"{name}.png"]
    made = [(file, svg.encode() if file.suffix == ".svg" else section_png(svg)) for file in files]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for file, data in made:
            beside = file.with_name(f".{file.name}.new")
            beside.write_bytes(data)
            beside.replace(file)
    except OSError as error:
        accepted = f"a place that can be written to ({error.strerror or error})"
        raise CannotWrite("out", given=str(out), accepted=accepted) from error
