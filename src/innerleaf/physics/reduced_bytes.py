"""A reduced family as bytes, so that it is built once and kept."""

from __future__ import annotations

import json
from io import BytesIO

import numpy as np

from innerleaf.errors import InputError
from innerleaf.physics.grid import feature_lines
from innerleaf.physics.reduced import Family, Reduced, Terms

_ARRAYS = ("nodes_forms", "flows_forms", "load", "area", "inflow", "warm_surface")


def to_bytes(reduced: Reduced) -> bytes:
    """All stored numbers; the same family built again gives the same bytes."""
    terms = reduced.terms
    words = json.dumps([terms.material, terms.film, terms.axis, terms.block])
    made = BytesIO()
    features = {f"features_{axis}": line for axis, line in enumerate(reduced.features)}
    arrays = {name: getattr(reduced, name) for name in _ARRAYS}
    np.savez(made, allow_pickle=False, terms=np.frombuffer(words.encode(), np.uint8), **features, **arrays)
    return made.getvalue()


def from_bytes(family: Family, data: bytes) -> Reduced:
    """The reduced family again.

    Raises
    ------
    InputError
        The bytes were made of a family whose parts lie elsewhere.
    """
    features = feature_lines(family.template)
    with np.load(BytesIO(data), allow_pickle=False) as stored:
        kept = [stored[f"features_{axis}"] for axis in range(len(features))]
        if not all(np.array_equal(one, other) for one, other in zip(kept, features, strict=True)):
            given = [line.tolist() for line in kept]
            raise InputError("stored family", given=given, accepted=f"{[line.tolist() for line in features]}")
        material, film, axis, block = json.loads(stored["terms"].tobytes())
        terms = Terms(
            material=tuple(material),
            film=tuple(film),
            axis=tuple(axis),
            block=tuple(tuple(each) for each in block),
        )
        arrays = {name: stored[name] for name in _ARRAYS}
    return Reduced(family=family, features=features, terms=terms, **arrays)
