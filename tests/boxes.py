"""Papers, recipes and generated boxes that several tests fold."""

from __future__ import annotations

import math
from dataclasses import fields

from hypothesis import strategies as st

from fitcheck.pattern.sheet import Axis
from fitcheck.stock.paper import Stock
from fitcheck.styles.part import PartSpec
from fitcheck.styles.rolled import RolledRecipe
from fitcheck.styles.walled import WalledRecipe, WalledSpec

HALF_ROUND = 1.0 - math.pi / 8.0
"""Crease allowance over caliper when r = 0 and k = 1/2."""


def paper(caliper_mm: float, allowance_mm: float | None = None) -> Stock:
    """A paper of a caliper; without an allowance its neutral line lies in the middle."""
    return Stock(
        name="test paper",
        kind="cardstock",
        caliper_mm=caliper_mm,
        caliper_u_mm=0.01,
        crease_allowance_mm=HALF_ROUND * caliper_mm if allowance_mm is None else allowance_mm,
        crease_allowance_u_mm=0.02,
        calibrated=allowance_mm is not None,
        grammage_gsm=None,
        hygroexpansion=None,
        source="invented for tests",
        records=(),
    )


def tray(
    width: float = 82.55,
    length: float = 114.3,
    depth: float = 22.225,
    stock: Stock | None = None,
    *,
    joint: float = 0.1,
    tabs: Axis = Axis.LENGTH,
    setback: float = 0.0,
    part: str = "base",
) -> WalledRecipe:
    """A tray's recipe."""
    return WalledRecipe(
        part=part,
        style="tray",
        stock=stock or paper(0.33, 0.2),
        width_mm=width,
        length_mm=length,
        depth_mm=depth,
        joint_mm=joint,
        tabs=tabs,
        tab_setback_mm=setback,
    )


def shadow_box(
    width: float = 82.55,
    length: float = 114.3,
    depth: float = 22.225,
    stock: Stock | None = None,
    *,
    frame: float = 9.525,
    flap: float | None = None,
    inner_wall: float | None = None,
    joint: float = 0.1,
    tabs: Axis = Axis.WIDTH,
    setback: float = 0.0,
) -> RolledRecipe:
    """A shadow box's recipe; its frame is level unless an inner wall is given."""
    stock = stock or paper(0.33, 0.2)
    return RolledRecipe(
        part="base",
        style="shadow-box",
        stock=stock,
        width_mm=width,
        length_mm=length,
        depth_mm=depth,
        joint_mm=joint,
        tabs=tabs,
        tab_setback_mm=setback,
        frame_mm=frame,
        inner_wall_mm=depth - stock.caliper_mm - joint if inner_wall is None else inner_wall,
        flap_mm=free_flap(stock, frame, joint) if flap is None else flap,
    )


def free_flap(stock: Stock, frame: float, joint: float) -> float:
    """A flap that lies free by half a millimetre under a roll that no tab pushes out.

    The wall's foot stands in by t - a, and a round crease by more at the height of the joint.
    """
    bite = max(0.0, stock.caliper_mm - stock.crease_allowance_mm)
    radius = stock.crease.radius_mm
    below = max(0.0, radius - joint)
    return frame - bite - (radius - math.sqrt(radius**2 - below**2)) - 0.5


def across(axis: Axis, pair: tuple[float, float]) -> float:
    """The size of a (width, length) pair along an axis."""
    return pair[0] if axis is Axis.WIDTH else pair[1]


def crosswise(tabs: Axis) -> Axis:
    """The axis across the walls that carry the tabs: they run along `tabs`."""
    return Axis.WIDTH if tabs is Axis.LENGTH else Axis.LENGTH


def as_tray(spec: PartSpec) -> WalledSpec:
    """The same part as a tray."""
    common = {one.name: getattr(spec, one.name) for one in fields(WalledSpec)}
    return WalledSpec(**common | {"style": "tray"})


lengths = st.floats(40.0, 200.0).map(lambda x: round(x, 3))


@st.composite
def papers(draw: st.DrawFn) -> Stock:
    """Any paper from thin to board, its crease anywhere from sharp to round."""
    caliper = draw(st.floats(0.1, 0.5))
    share = draw(st.floats(0.1, 1.5))
    return paper(caliper, share * caliper)


@st.composite
def trays(draw: st.DrawFn) -> WalledRecipe:
    """Any tray with room for its tabs."""
    return tray(
        draw(lengths),
        draw(lengths),
        draw(st.floats(8.0, 60.0)),
        draw(papers()),
        joint=draw(st.floats(0.0, 0.3)),
        tabs=draw(st.sampled_from(Axis)),
        setback=draw(st.floats(0.0, 0.6)),
    )


@st.composite
def shadow_boxes(draw: st.DrawFn) -> RolledRecipe:
    """Any shadow box whose frame is level and leaves an opening."""
    frame = draw(st.floats(6.0, 14.0))
    return shadow_box(
        draw(lengths),
        draw(lengths),
        draw(st.floats(12.0, 50.0)),
        draw(papers()),
        frame=frame,
        joint=draw(st.floats(0.0, 0.3)),
        tabs=draw(st.sampled_from(Axis)),
        setback=draw(st.floats(0.0, 0.6)),
    )
