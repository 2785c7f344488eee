"""What surrounds a wall between two rooms, complete, and what of it cannot be."""

from __future__ import annotations

from collections.abc import Iterator
from math import log10

from innerleaf.job.book import Book, Levels
from innerleaf.job.faults import NOTHING, Report, Said, one_of
from innerleaf.job.model import JobFlank, JobSeparates, JobWall
from innerleaf.job.schema import Layer
from innerleaf.job.schema_sound import Flanks
from innerleaf.practice.mass_laws import load_mass_laws
from innerleaf.practice.model import Practice

_WITH_ROOM_BEYOND = ("neighbour", "stair", "heated")
_LIGHT = "double-leaf wall"


def resolve_separates(book: Book, wall: Levels) -> JobSeparates | None:
    """The flanks with what types and defaults say of them; that one lacks something is a fault."""
    said = wall.within("separates")
    if not said.levels:
        return None
    around = said.within("flanks")
    return JobSeparates(
        area_m2=said.pick("area"),
        volume_m3=said.pick("volume"),
        flanks=tuple(_flanks(book, around)),
    )


def _flanks(book: Book, around: Levels) -> Iterator[JobFlank]:
    for side in Flanks.model_fields:
        said = around.within(side)
        if not said.levels:
            continue
        layers = book.find("constructions", said, "construction")
        if said.pick("mass") is None and said.pick("construction") is None:
            book.say(said, "mass", given=NOTHING, accepted="its mass in kg/m², or its construction")
        if said.pick("rw") is None and said.pick("law") is None:
            book.say(
                said, "rw", given=NOTHING, accepted="its sound reduction in dB, or the law that gives it"
            )
        for field in ("junction", "area"):
            if said.pick(field) is None:
                book.say(said, field, given=NOTHING, accepted="a value, here or in the type of the wall")
        yield JobFlank(
            side=side,
            mass_kg_m2=said.pick("mass"),
            construction=layers or (),
            junction=said.pick("junction", "rigid T"),
            area_m2=said.pick("area", 1.0),
            length_mm=said.pick("length"),
            rw_db=said.pick("rw"),
            law=said.pick("law", ""),
            gain_db=said.pick("gain", 0.0),
            gain_beyond_db=said.pick("gain_beyond", 0.0),
            places={field: said.place(field) for field in ("mass", "junction", "law")},
            doubtful=said.doubtful
            | ({"construction"} if said.pick("construction") and not layers else set()),
        )


def check_separates(report: Report, wall: JobWall, practice: Practice) -> None:
    """Is there a room beyond, do the laws hold for the masses, does the junction go with the wall?"""
    if wall.separates is None:
        return
    if wall.other_side not in _WITH_ROOM_BEYOND and "other_side" not in wall.doubtful:
        report.add(
            wall.at("separates"),
            given=Said(f"a wall to {wall.other_side}"),
            accepted=f"other_side {', '.join(_WITH_ROOM_BEYOND)}: a room beyond the wall",
            subject=wall.place,
            steps=("separates",),
        )
    for flank in wall.separates.flanks:
        mass = mass_of(flank, practice)
        if mass is not None:
            _check_law(report, wall, flank, mass)
            _check_light(report, wall, flank, mass, practice)


def mass_of(flank: JobFlank, practice: Practice) -> float | None:
    """Of a flank as written, or of its layers; None where it cannot be told. [kg/m²]"""
    if flank.doubtful & {"mass", "construction"}:
        return None
    return flank.mass_kg_m2 if flank.mass_kg_m2 is not None else layers_mass(flank.construction, practice)


def layers_mass(layers: tuple[Layer, ...], practice: Practice) -> float | None:
    """Mass of layers; None where there are none, or a material is not known. [kg/m²]"""
    known = practice.materials
    if not layers or any(layer.material not in known for layer in layers):
        return None
    return sum(known[layer.material].density_kg_m3 * layer.thickness / 1000 for layer in layers)


def _say(report: Report, wall: JobWall, flank: JobFlank, field: str, given: object, accepted: str) -> None:
    report.add(
        flank.places[field],
        given=given,
        accepted=accepted,
        subject=wall.place,
        steps=("separates", "flanks", flank.side, field),
    )


def _check_law(report: Report, wall: JobWall, flank: JobFlank, mass: float) -> None:
    if not flank.law or flank.rw_db is not None or "law" in flank.doubtful:
        return
    laws = load_mass_laws()
    law = laws.get(flank.law)
    if law is None:
        accepted = one_of(laws, flank.law, what="mass laws")
        _say(report, wall, flank, "law", flank.law, accepted)
    elif not law.holds(mass):
        fitting = ", ".join(each.id for each in laws.values() if each.holds(mass)) or "none: give rw"
        given = Said(f"{flank.law!r} for {mass:.0f} kg/m²")
        accepted = (
            f"a law that holds there ({fitting}); it holds from {law.from_kg_m2:g} to {law.to_kg_m2:g} kg/m²"
        )
        _say(report, wall, flank, "law", given, accepted)


def _check_light(report: Report, wall: JobWall, flank: JobFlank, mass: float, practice: Practice) -> None:
    own = layers_mass(wall.construction, practice)
    if flank.junction == _LIGHT and own is not None and log10(own / mass) > -log10(3):
        given = Said(f"{_LIGHT!r} for a wall of {own:.0f} kg/m² at a flank of {mass:.0f} kg/m²")
        _say(report, wall, flank, "junction", given, "a flank at least three times as heavy as the wall")
