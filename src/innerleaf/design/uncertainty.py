"""How sure a verdict is: the scatter of materials, thicknesses and workmanship carried through.

Samples are drawn from stated scatters (rules ``scatter_...``); everything is an estimate. One seed,
one answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from innerleaf.design.buildup import Depth
from innerleaf.practice.model import Rules

Samples = NDArray[np.float64]

SAMPLES, SEED = 1000, 20_11


@dataclass(frozen=True, slots=True)
class Scatter:
    """Standard deviations as fractions: conductivity of old and new layers, mu, psi and chi, fRsi deficit.

    ``gap`` is how much of the insulation's effect workmanship (gaps, air that moves behind slabs) takes
    on average, spread from nothing to twice that.
    """

    old: float
    new: float
    mu: float
    bridges: float
    surface: float
    gap: float


def scatter_of(rules: Rules) -> Scatter:
    """The scatter a practice set assumes."""
    return Scatter(
        rules.scatter_old_conductivity_percent / 100,
        rules.scatter_new_conductivity_percent / 100,
        rules.scatter_mu_percent / 100,
        rules.scatter_bridges_percent / 100,
        rules.scatter_surface_percent / 100,
        rules.insulation_gap_loss_percent / 100,
    )


def resistances(depth: Depth, scatter: Scatter, rng: np.random.Generator) -> Samples:
    """Samples of the layers' resistances, outside first, shape (SAMPLES, layers). [m²·K/W]

    Conductivities are log-normal; air keeps its resistance; gaps take from the insulation alone.
    """
    layers = depth.layers
    spread = np.array(
        [
            scatter.old if k < len(depth.old) else 0.0 if layer.name == "air" else scatter.new
            for k, layer in enumerate(layers)
        ]
    )
    plain = np.array([layer.resistance for layer in layers])
    drawn = plain * np.exp(-rng.normal(0.0, 1.0, (SAMPLES, len(layers))) * spread)
    insulating = np.array([layer.insulating for layer in layers])
    loss = rng.uniform(0.0, 2 * scatter.gap, (SAMPLES, 1))
    return np.asarray(np.where(insulating, drawn * (1 - loss), drawn))


def u_samples(
    depth: Depth, inside: float, outside: float, bridged: float, scatter: Scatter, seed: int = SEED
) -> Samples:
    """Samples of U with members and brackets; ``bridged`` is what these add to U. [W/(m²·K)]"""
    rng = np.random.default_rng(seed)
    clear = 1 / (inside + outside + resistances(depth, scatter, rng).sum(axis=1))
    return np.asarray(clear + bridged * np.exp(rng.normal(0.0, scatter.bridges, SAMPLES)))


def factor_samples(factor: float, scatter: Scatter, seed: int = SEED) -> Samples:
    """Samples of a surface temperature factor: its distance from 1 scatters."""
    rng = np.random.default_rng(seed)
    return np.asarray(1 - (1 - factor) * np.exp(rng.normal(0.0, scatter.surface, SAMPLES)))


def sd_samples(plain: Sequence[float], scatter: Scatter, seed: int = SEED) -> Samples:
    """Samples of the layers' vapour resistances, shape (SAMPLES, layers). [m]"""
    rng = np.random.default_rng(seed + 1)
    return np.asarray(np.array(plain) * np.exp(rng.normal(0.0, scatter.mu, (SAMPLES, len(plain)))))


def missed(samples: Samples, limit: float, *, at_most: bool) -> float:
    """Share of the samples that miss a limit."""
    return float(np.mean(samples > limit if at_most else samples < limit))
