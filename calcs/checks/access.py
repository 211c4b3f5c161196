"""Whether a driver reaches its screw and a connector comes off: a cylinder among bodies, in closed form."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from calcs.case import shape_in_metres
from calcs.check import check
from calcs.checks.service import STANDING, TOUCH_M, free_m, piece_spans
from calcs.finding import Finding, at_least, digits, info, not_checked
from geometry.bodies import Axis, Body, Cylinder, Primitive, Shape

if TYPE_CHECKING:
    from geometry.design_sections import Access

STRAIGHT = 1e-9  # how far a direction may be off an axis
AXES: tuple[Axis, ...] = ("x", "y", "z")
SOURCE = (
    "distance of a cylinder to boxes and cylinders, others by the box around them; common practice, no source"
)


@check(
    "service.access",
    unit="m",
    shown="mm",
    margin_kind="difference",
    formula="least distance from the cylinder of the tool to what stands beside it >= 0",
    source=SOURCE,
    asked_by=("service.driver", "service.connector"),
    limit=0.0,
)
def access(
    bodies: tuple[Body, ...],
    travel_low_m: float,
    travel_high_m: float,
    drivers: tuple[Access, ...] = (),
    connectors: tuple[Access, ...] = (),
    limit: float = 0.0,
) -> Finding:
    """Room beside drivers and connectors, moving parts out of the way and covers off."""
    tools = (*drivers, *connectors)
    if not tools:
        return info(None, "no [[service.driver]] and no [[service.connector]]")
    askew = [tool.name for tool in tools if max(map(abs, tool.direction)) < 1.0 - STRAIGHT]
    if askew:
        return not_checked(f"{', '.join(askew)} goes along no axis", "a direction along x, y or z")
    unseen = [body.name for body in bodies if not isinstance(body.shape, Shape)]
    shapes = {b.name: shape_in_metres(b.shape) for b in bodies if isinstance(b.shape, Shape)}
    travel = (travel_low_m, travel_high_m)
    found = [
        (gap, tool.name, body)
        for tool in tools
        for column, sense in [_cylinder(tool)]
        for body in bodies
        if body.role != "cover" and body.name in shapes
        for gap in [_gap_m(column, sense, shapes[body.name], travel if body.moves else (0.0,))]
    ]
    gap, name, nearest = min(found, key=lambda row: row[0])
    covers = "".join(
        f"; {tool.name}: only with {cover} off" for tool in tools for cover in _covers(tool, bodies)
    )
    if math.isinf(gap):
        return Finding(None, "PASS", limit, note="nothing stands beside them")
    note = f"{name} passes {nearest.name} at {gap * 1e3:.4g} mm{covers}"
    if gap >= limit and unseen:
        return not_checked(f"{note}; {', '.join(unseen)} is a file and not seen here", "give it as boxes too")
    remedy = f"{nearest.name} {digits((limit - gap) * 1e3)} mm away, or a thinner or shorter tool"
    return at_least(gap, limit, note=note, remedy=remedy)


def _cylinder(tool: Access) -> tuple[Cylinder, float]:
    """The tool's cylinder (m) and the sense in which it goes."""
    along = max(range(3), key=lambda i: abs(tool.direction[i]))
    sense = math.copysign(1.0, tool.direction[along])
    start = tool.position[along] / 1e3
    a, b = (tool.position[i] / 1e3 for i in range(3) if i != along)
    low, high = sorted((start, start + sense * tool.length / 1e3))
    return Cylinder(AXES[along], (a, b), tool.diameter / 2e3, (low, high)), sense


def _gap_m(column: Cylinder, sense: float, shape: Shape, shifts: tuple[float, ...]) -> float:
    """Least distance to a body (m), to what moves at the better of its shifts; below 0 inside."""
    return max(_to_shape(column, sense, shape, shift) for shift in shifts)


def _to_shape(column: Cylinder, sense: float, shape: Shape, shift: float) -> float:
    return min(_pieces(column, sense, shape, shift), default=math.inf)


def _pieces(column: Cylinder, sense: float, shape: Shape, shift: float) -> Iterator[float]:
    """Distance to each piece that does not lie behind the place where the tool begins."""
    along = AXES.index(column.axis)
    for piece in shape.adds:
        spans = piece_spans(piece, (shift, shift))
        low, high = spans[along]
        ahead = max(low - column.span[1], column.span[0] - high, 0.0)
        behind = column.span[0] - high if sense > 0.0 else low - column.span[1]
        if behind >= -TOUCH_M:
            continue
        holes = [cut for cut in shape.cuts if isinstance(cut, Cylinder) and _through(cut, piece, column)]
        beside = max(_beside(column, piece, spans), *(_within(column, hole) for hole in holes), -math.inf)
        deep = column.span[1] - low if sense > 0.0 else high - column.span[0]
        yield math.hypot(max(beside, 0.0), ahead) if ahead > 0.0 else max(beside, -deep)


def _beside(column: Cylinder, piece: Primitive, spans: list[tuple[float, float]]) -> float:
    """Distance across the tool's axis (m), below 0 where they overlap."""
    if isinstance(piece, Cylinder) and piece.axis == column.axis:
        return math.dist(piece.centre, column.centre) - piece.radius - column.radius
    across = [span for axis, span in zip(AXES, spans, strict=True) if axis != column.axis]
    gaps = [max(low - c, c - high) for (low, high), c in zip(across, column.centre, strict=True)]
    outside = math.hypot(*(max(gap, 0.0) for gap in gaps))
    return (outside if outside > 0.0 else max(gaps)) - column.radius


def _through(hole: Cylinder, piece: Primitive, column: Cylinder) -> bool:
    """Whether a round hole goes all the way through a piece along the tool."""
    low, high = piece_spans(piece)[AXES.index(column.axis)]
    ends = hole.span[0] <= low + TOUCH_M and hole.span[1] >= high - TOUCH_M
    return hole.axis == column.axis and ends


def _within(column: Cylinder, hole: Cylinder) -> float:
    """Distance from the tool to the wall of the hole it goes through (m)."""
    return hole.radius - math.dist(hole.centre, column.centre) - column.radius


def _covers(tool: Access, bodies: tuple[Body, ...]) -> Iterator[str]:
    """Name the covers that stand where the tool comes from."""
    column, sense = _cylinder(tool)
    for body in bodies:
        if body.role != "cover" or not isinstance(body.shape, Shape):
            continue
        if not math.isinf(free_m(column, sense, shape_in_metres(body.shape), STANDING)):
            yield body.name
