"""A small invented catalogue and a wall of brick, so that every lining can be looked at one by one."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from tests.layout.plain import PRACTICE, wall, window

from innerleaf.design.choice.evaluate import Setting
from innerleaf.design.climate import SiteClimate
from innerleaf.practice.model import Practice
from innerleaf.practice.prices import load_prices
from innerleaf.survey.wall import ExistingLayer, Targets, Wall

PRICES = load_prices(PRACTICE)
CLIMATE = SiteClimate(
    (1.2, 2.0, 5.3, 9.1, 13.4, 16.6, 18.4, 18.1, 14.5, 10.2, 5.4, 2.3),
    (0.87, 0.84, 0.79, 0.74, 0.72, 0.73, 0.74, 0.76, 0.80, 0.84, 0.87, 0.88),
)
BRICK = (
    ExistingLayer(material="brick-1600", thickness_mm=240),
    ExistingLayer(material="gypsum-plaster-1300", thickness_mm=15),
)


def small_practice(**keep: tuple[str, ...]) -> Practice:
    """The metric set with few articles left."""
    few: dict[str, tuple[str, ...]] = {
        "profiles": ("CW-50", "UW-50", "CW-75", "UW-75", "CD-60-27", "UD-28-27"),
        "boards": ("board-A-12.5", "board-D-12.5"),
        "insulation": ("wool-50", "wool-60"),
        "membranes": ("membrane-variable",),
    } | keep
    catalogues: dict[str, Any] = {
        section: {key: getattr(PRACTICE, section)[key] for key in keys} for section, keys in few.items()
    }
    return replace(PRACTICE, **catalogues)


def setting(**changes: Any) -> Setting:
    """The small catalogue with its invented prices and climate."""
    return replace(Setting(practice=small_practice(), prices=PRICES, climate=CLIMATE), **changes)


def brick_wall(length: int = 4200, **changes: Any) -> Wall:
    """An outside wall of one brick with a window, left of its middle."""
    openings = (window(900),) if length >= 3000 else ()
    asked = {"construction": BRICK, "openings": openings, "targets": Targets(u_value_w_m2k=0.5)}
    return wall(length, **(asked | changes))
