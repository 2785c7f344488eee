"""Quick U of many linings: the bounds hold what the same details give when solved in full."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from innerleaf.design.buildup import Depth, Layer, transmittance
from innerleaf.design.heat import quick_store
from innerleaf.design.heat.assess import RSE, RSI, RSI_CORNER
from innerleaf.design.heat.details import OUTSIDE, ROOM, Bridge, Steel, bracket_point, member_line
from innerleaf.design.heat.quick import Linings, quick_bridges, quick_u, u_set_out
from innerleaf.design.heat.quick_store import kept, reduced_of
from innerleaf.errors import InputError
from innerleaf.physics.conduction import solve

STUD = Steel(0.05, 0.05, 0.0006, 0.006, 1, False, 50.0)
CHANNEL = Steel(0.027, 0.06, 0.0006, 0.006, 1, True, 50.0)
BRACKET = Bridge(0.03, 0.001, 0.006, 0.05)


@pytest.fixture(scope="module", autouse=True)
def little_effort(tmp_path_factory: pytest.TempPathFactory) -> object:
    """Bounds hold however few fields are kept; the benchmark looks at those of full effort."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        patch.setattr(quick_store, "EFFORT", {2: (90, 20, 0.002), 3: (24, 12, 0.03)})
        reduced_of.cache_clear()
        yield None
    reduced_of.cache_clear()


def air(thickness: float, resistance: float = 0.17) -> Layer:
    return Layer("air", thickness, thickness / resistance)


def walls(seed: int, count: int) -> list[Depth]:
    """Framed linings with a gap behind, on old walls of one to five layers, drawn at random."""
    rng = np.random.default_rng(seed)
    drawn = []
    for _ in range(count):
        old = [
            Layer(f"old {k}", rng.uniform(0.1, 0.2), rng.uniform(0.4, 1.6)) for k in range(rng.integers(1, 4))
        ]
        if rng.random() < 0.7:
            old.append(Layer("plaster", rng.uniform(0.008, 0.03), rng.uniform(0.2, 1.0)))
        boards = [
            Layer(f"board {k}", 0.0125, rng.choice([0.13, 0.21, 0.25])) for k in range(rng.integers(1, 5))
        ]
        wool = Layer("wool", STUD.depth, rng.uniform(0.022, 0.045))
        drawn.append(Depth(tuple(old), (air(rng.uniform(0.005, 0.05)),), (wool,), tuple(boards)))
    return drawn


def test_bounds_hold_the_full_solves_of_framed_linings() -> None:
    depths = walls(1, 8)
    pitch = np.random.default_rng(2).uniform(0.3, 0.625, len(depths))
    found = quick_u(Linings.of(STUD, depths, pitch))

    for k, depth in enumerate(depths):
        detail = member_line(depth, STUD, float(pitch[k]))
        full = solve(detail.section(RSI, RSE)).coupling([ROOM], [OUTSIDE]) * (1 / float(pitch[k]))
        cautious = solve(detail.section(RSI_CORNER, RSE)).surface(ROOM).least
        assert found.low[k] <= full.middle <= found.high[k]
        assert found.middle[k] == pytest.approx(full.middle, rel=4e-3)
        assert found.frsi[k] == pytest.approx(cautious, abs=0.02)


def test_plain_walls_are_exact_layers_and_their_bounds_are_close() -> None:
    """One old layer, one kind of board: nothing is merged, so only the fields' own gap is left."""
    depth = Depth(
        (Layer("brick", 0.24, 0.77),),
        (air(0.02),),
        (Layer("wool", 0.05, 0.035),),
        (Layer("board", 0.0125, 0.25), Layer("board", 0.0125, 0.25)),
    )
    found = quick_u(Linings.of(STUD, [depth], 0.6))
    full = solve(member_line(depth, STUD, 0.6).section(RSI, RSE), accuracy=3e-4).coupling([ROOM], [OUTSIDE])

    assert found.high[0] / found.low[0] - 1 < 0.006
    assert found.middle[0] == pytest.approx(full.middle / 0.6, rel=1e-3)


def test_bounds_hold_the_full_solves_of_bracketed_linings() -> None:
    rng = np.random.default_rng(3)
    depths = [
        Depth(
            (Layer("brick", rng.uniform(0.15, 0.4), 0.77), Layer("plaster", 0.015, rng.uniform(0.3, 0.8))),
            (Layer("wool", rng.uniform(0.04, 0.16), rng.uniform(0.03, 0.04)),),
            (air(CHANNEL.depth),),
            (Layer("board", 0.0125, 0.25),),
        )
        for _ in range(3)
    ]
    linings = Linings.of(
        CHANNEL, depths, rng.uniform(0.3, 0.6, 3), bridge=BRACKET, rise=rng.uniform(0.6, 1.5, 3)
    )
    found = quick_u(linings)

    for k, depth in enumerate(depths):
        pitch, rise = float(linings.pitch[k]), float(linings.rise[k])
        section = bracket_point(depth, CHANNEL, BRACKET, pitch, rise).section(RSI, RSE)
        full = solve(section, accuracy=0.006).coupling([ROOM], [OUTSIDE]) * (4 / (pitch * rise))
        assert found.low[k] <= full.middle <= found.high[k]
        assert found.middle[k] == pytest.approx(full.middle, rel=0.01)


def test_a_wall_as_set_out_is_the_sum_of_its_parts() -> None:
    """One member a pitch and one bracket a rise are the cell itself; none at all is the clear field."""
    wool = Layer("wool", 0.08, 0.035)
    depth = Depth((Layer("brick", 0.24, 0.77),), (wool,), (air(0.027),), (Layer("board", 0.0125, 0.25),))
    linings = Linings.of(CHANNEL, [depth], 0.5, bridge=BRACKET, rise=1.0)
    cell = quick_u(linings)
    even = u_set_out(linings, area=10.0, member_length=10.0 / 0.5, brackets=10.0 / 0.5)
    bare = u_set_out(linings, area=10.0, member_length=0.0, brackets=0)
    few = u_set_out(linings, area=10.0, member_length=15.0, brackets=12)
    extra = quick_bridges(linings)

    assert even.low[0] == pytest.approx(cell.low[0], rel=1e-12)
    assert even.high[0] == pytest.approx(cell.high[0], rel=1e-12)
    assert bare.low[0] == bare.high[0] == pytest.approx(transmittance(depth.layers, RSI, RSE), rel=1e-12)
    psi, chi = (extra.psi_low + extra.psi_high) / 2, (extra.chi_low + extra.chi_high) / 2
    assert few.middle[0] == pytest.approx(linings.u_clear[0] + 1.5 * psi[0] + 1.2 * chi[0], rel=1e-9)
    assert few.low[0] < few.high[0]


def test_designs_together_or_one_by_one() -> None:
    """Whatever else is asked at the same time, a design has the same answer."""
    depths = walls(4, 6)
    together = quick_u(Linings.of(STUD, depths, 0.6))

    for k in (0, 3, 5):
        alone = quick_u(Linings.of(STUD, [depths[k]], 0.6))
        assert alone.low[0] == pytest.approx(together.low[k], rel=1e-12)
        assert alone.high[0] == pytest.approx(together.high[k], rel=1e-12)


def test_outside_the_families_is_said() -> None:
    depth = walls(5, 1)[0]
    with pytest.raises(InputError, match=r"design 2, pitch: given 0\.9, accepted: 0\.3 to 0\.625 m"):
        quick_u(Linings.of(STUD, [depth, depth], [0.6, 0.9]))
    with pytest.raises(InputError, match=r"linings, frame: given 0\.06"):
        Linings.of(STUD, [replace(depth, frame=(Layer("wool", 0.06, 0.035),))], 0.6)
    with pytest.raises(InputError, match="linings, boards"):
        Linings.of(STUD, [replace(depth, boards=(Layer("board", -0.01, 0.25),))], 0.6)


def test_files_cut_short_are_made_again(tmp_path: Path) -> None:
    place, calls = tmp_path / "family", []

    def make() -> bytes:
        calls.append(1)
        return b"all of it"

    assert [kept(place, make), kept(place, make)] == [b"all of it"] * 2
    assert len(calls) == 1
    place.write_bytes(place.read_bytes()[:-3])
    assert kept(place, make) == b"all of it"
    assert len(calls) == 2
    assert kept(place, make) == b"all of it"
    assert len(calls) == 2


def test_writers_at_once_and_nowhere_to_write(tmp_path: Path) -> None:
    place = tmp_path / "family"
    with ThreadPoolExecutor(8) as pool:
        found = set(pool.map(lambda _: kept(place, lambda: b"x" * 100_000), range(40)))

    assert found == {b"x" * 100_000}
    assert [each.name for each in tmp_path.iterdir()] == ["family"]
    assert kept(tmp_path / "no such folder" / "family", lambda: b"made") == b"made"
