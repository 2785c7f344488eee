"""Leaves and walls that the tests of transmission share, and constructions by chance."""

from __future__ import annotations

from hypothesis import strategies as st

from innerleaf.physics.sound.construction import Bridge, Cavity, Construction
from innerleaf.physics.sound.leaf import Leaf

BOARD = Leaf(mass=8.9, critical_frequency=2540.0, loss_factor=0.022)
BLOCKS = Leaf(mass=238.0, critical_frequency=114.0, loss_factor=0.015, edge_loss=0.49)
LIMP = 1e6  # Hz: a leaf whose coincidence lies far out of sight


def limp(mass: float) -> Leaf:
    """A leaf without stiffness."""
    return Leaf(mass=mass, critical_frequency=LIMP, loss_factor=0.01)


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    """Plain numbers in a range."""
    return st.floats(low, high, allow_nan=False)


leaves = st.one_of(
    st.builds(
        Leaf, mass=numbers(6, 40), critical_frequency=numbers(1500, 4000), loss_factor=numbers(0.015, 0.06)
    ),
    st.builds(
        Leaf,
        mass=numbers(80, 500),
        critical_frequency=numbers(70, 350),
        loss_factor=numbers(0.01, 0.03),
        edge_loss=numbers(0.1, 1.0),
    ),
)
bridges = st.builds(
    Bridge,
    kind=st.sampled_from(["line", "point"]),
    spacing=numbers(0.3, 2.5),
    compliance=numbers(0, 1e-5),
    exponent=numbers(-2, 0),
    fixing=numbers(0, 1e-6),
    free_share=numbers(0, 1),
)


@st.composite
def cavities(draw: st.DrawFn) -> Cavity:
    """Empty, filled or filled in part."""
    depth = draw(numbers(0.013, 0.3))
    return Cavity(
        depth=depth,
        fill=depth * draw(st.sampled_from([0.0, 0.4, 1.0])),
        flow_resistivity=draw(numbers(3000, 40000)),
        drag=draw(numbers(60, 600)),
        fill_loss=draw(numbers(0, 0.3)),
        air_loss=draw(numbers(0.05, 0.2)),
        fill_first=draw(st.booleans()),
    )


@st.composite
def constructions(draw: st.DrawFn) -> Construction:
    """Walls of two or three leaves with up to two bridges to a cavity."""
    count = draw(st.integers(2, 3))
    return Construction(
        leaves=tuple(draw(leaves) for _ in range(count)),
        cavities=tuple(draw(cavities()) for _ in range(count - 1)),
        bridges=tuple(tuple(draw(st.lists(bridges, max_size=2))) for _ in range(count - 1)),
        area=draw(numbers(4, 30)),
        leak=draw(st.sampled_from([0.0, 1e-6])),
    )
