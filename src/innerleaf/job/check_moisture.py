"""Climate and moisture readings that contradict themselves, or what a material can hold."""

from __future__ import annotations

from innerleaf.job.faults import Report
from innerleaf.job.model import JobWall
from innerleaf.job.schema import JobFile
from innerleaf.practice.moisture import water_of


def check_climate(report: Report, file: JobFile) -> None:
    """What of a climate by month asks for something else."""
    climate = file.site.climate
    if climate is None or report.is_spoilt(("site",), within=True):
        return
    if climate.rain is not None and climate.wind is None:
        accepted = "12 mean speeds in m/s, as rain is given: wind drives it onto the walls"
        report.add(("site", "climate", "wind"), given=None, accepted=accepted)
    if climate.sun is not None and file.site.latitude is None:
        accepted = "degrees, north positive, as sun is given: it tells where the sun stands"
        report.add(("site", "latitude"), given=None, accepted=accepted)


def check_reading(report: Report, wall: JobWall) -> None:
    """Is more water read than the wall's thickest layer has pores for?"""
    if wall.moisture_reading is None or wall.doubtful & {"moisture_reading", "construction"}:
        return
    if not wall.construction:
        return
    thickest = max(wall.construction, key=lambda layer: layer.thickness)
    water = water_of(thickest.material)
    if water is None:
        return
    most = 100 * water.water_most_kg_m3 / water.density_kg_m3
    if wall.moisture_reading > most:
        report.add(
            wall.at("moisture_reading"),
            given=wall.moisture_reading,
            accepted=f"{most:.1f} % by mass or less, all pores of {thickest.material} full",
            subject=wall.place,
            steps=("moisture_reading",),
        )
