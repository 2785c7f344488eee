"""Mass laws as data: what comes with the package against published pairs, and files that are refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from innerleaf.errors import FileFaults
from innerleaf.physics.sound.base_wall import mass_law
from innerleaf.practice.mass_laws import MassLaw, load_mass_laws, read_mass_laws

LAWS = load_mass_laws()

# Public page of the Austrian brick makers' association: mass of the plastered wall [kg/m²] and Rw [dB].
BRICK = [
    (100, 39), (125, 42), (170, 46), (180, 47), (260, 52), (320, 55), (350, 56), (400, 58), (420, 59),
    (480, 61),
]  # fmt: skip
BELOW_THE_RANGE = [(50, 29), (75, 35), (90, 37)]

WHOLE = """
mass_laws:
  heavy: {materials: any, slope_db: 37.5, less_db: 42, from_kg_m2: 150, to_kg_m2: 700, source: 'read: here'}
"""


def rw(law: MassLaw, mass: float) -> float:
    return float(mass_law(mass, law.slope_db, law.constant_db, law.linear_db))


@pytest.mark.parametrize(("mass", "expected"), [(484, 58.7), (219, 45.8), (360, 53.9)])
def test_heavy_walls_of_the_standard(mass: float, expected: float) -> None:
    """ISO 12354-1:2017 table L.10."""
    assert rw(LAWS["heavy"], mass) == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize(("mass", "expected"), BRICK + BELOW_THE_RANGE)
def test_brick_walls_of_the_association(mass: float, expected: float) -> None:
    """To half a decibel, as printed to whole ones; also below the range that is named."""
    law = LAWS["brick-plastered"]

    assert rw(law, mass) == pytest.approx(expected, abs=0.55)
    assert law.holds(mass) is ((mass, expected) in BRICK)


def test_laws_of_aerated_concrete_meet_at_150() -> None:
    """48.4 and 48.4: two branches of one line."""
    light, heavy = LAWS["aerated-concrete-light"], LAWS["aerated-concrete-heavy"]

    assert rw(light, 150) == pytest.approx(rw(heavy, 150), abs=0.2)


@pytest.mark.parametrize(("pounds_per_square_foot", "expected"), [(20, 44.1), (40, 47.7), (70, 53.1)])
def test_hollow_blocks_in_the_units_of_their_standard(pounds_per_square_foot: float, expected: float) -> None:
    """0.18 W + 40, and 0.5 for what is cut; a pound per square foot is 4.882 kg/m²."""
    assert rw(LAWS["block"], 4.882 * pounds_per_square_foot) == pytest.approx(expected, abs=0.05)


def test_laws_are_told_in_one_line() -> None:
    assert LAWS["heavy"].formula == "37.5·lg m' − 42"
    assert LAWS["block"].formula == "0.0369·m' + 40.5"


def test_every_law_says_where_it_comes_from() -> None:
    assert all(law.source.startswith(("read", "from memory")) for law in LAWS.values())


def refused(tmp_path: Path, text: str) -> str:
    path = tmp_path / "laws.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FileFaults) as caught:
        read_mass_laws(path)
    return str(caught.value)


def test_files_that_are_refused(tmp_path: Path) -> None:
    assert "section mass_laws" in refused(tmp_path, "laws: {}")
    assert "laws.yaml:3" in refused(tmp_path, WHOLE.replace("42", "-42"))
    assert "from_kg_m2: given None" in refused(tmp_path, WHOLE.replace("from_kg_m2: 150, ", ""))
    assert "the law must ask for the mass" in refused(tmp_path, WHOLE.replace("slope_db: 37.5, ", ""))
    assert "to_kg_m2: given 100.0, accepted: above from_kg_m2" in refused(
        tmp_path, WHOLE.replace("700", "100")
    )
    assert "heavy: an entry with fields is needed" in refused(tmp_path, "mass_laws:\n  heavy: 3\n")


def test_a_file_of_ones_own(tmp_path: Path) -> None:
    path = tmp_path / "laws.yaml"
    path.write_text(WHOLE, encoding="utf-8")

    assert read_mass_laws(path)["heavy"].slope_db == 37.5
