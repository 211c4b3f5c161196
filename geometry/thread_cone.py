"""The faces of the 45 degree cone at the end of a thread, none over more than half a turn.

Imports the CAD kernel: import this module only where a solid is made.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from OCP.Geom import Geom_ConicalSurface
from OCP.TopoDS import TopoDS_Edge, TopoDS_Face, TopoDS_Vertex

from geometry import thread_brep as brep
from geometry.outlines import bernstein
from geometry.thread_skin import Loop

ROOT_2 = math.sqrt(2)
ON_CIRCLE = -1


@dataclass(frozen=True)
class Circle:
    """A full circle about the axis: equal arcs, counter-clockwise, the first from an angle (rad)."""

    radius: float
    z: float
    angle: float
    vertices: list[TopoDS_Vertex]
    edges: list[TopoDS_Edge]


@dataclass(frozen=True)
class _Node:
    """Where a stretch of a generator (0 or 1) ends: where the loop's edge `after` does, or ON_CIRCLE."""

    generator: int
    radius: float
    vertex: TopoDS_Vertex
    after: int


@dataclass(frozen=True)
class _Step:
    """One directed edge of the cone's faces: of the loop, of a generator or of the circle, by its number."""

    kind: Literal["loop", "generator", "arc"]
    number: int
    forward: bool = True


def oriented(edges: Iterable[TopoDS_Edge], *, backwards: bool) -> list[TopoDS_Edge]:
    """Edges head to tail as they stand, or from the last to the first."""
    return [edge.Oriented(brep.REVERSED) for edge in reversed(list(edges))] if backwards else list(edges)


def full_circle(radius: float, z: float, angle: float, arcs: int) -> Circle:
    """Circle about the axis at z of equal arcs, the first from an angle (rad)."""
    length = math.tau / arcs
    vertices = [brep.vertex(radius, angle + i * length, z) for i in range(arcs)]
    edges = [
        brep.edge(brep.circle(radius, z, angle), i * length, (i + 1) * length, *pair)
        for i, pair in enumerate(pairwise([*vertices, vertices[0]]))
    ]
    return Circle(radius, z, angle, vertices, edges)


def cone_faces(loop: Loop, mouth: float, z: float, *, far: bool) -> tuple[list[TopoDS_Face], Circle]:
    """Faces between the loop and the mouth circle at z (mm), oriented away from the axis, and that circle."""
    start, slope = loop.split.sectors.start, loop.cut.slope
    circle = full_circle(mouth, z, start, arcs=2)
    surfaces = [brep.cone(mouth, z, slope * math.pi / 4, start + half * math.pi) for half in (0, 1)]
    for half, arc in enumerate(circle.edges):
        brep.lay(arc, surfaces[half], brep.level_line(-half * math.pi, 0.0))
    halves = _lay_loop(loop, mouth, surfaces)
    generators = _generators(loop, circle)
    lines = [_generator(low, high, circle, slope, start, surfaces) for low, high in generators]
    edges = {
        "loop": [edge for strand in loop.edges for edge in strand],
        "generator": lines,
        "arc": circle.edges,
    }
    faces = []
    for cycle in _cycles(len(edges["loop"]), generators):
        half = next(halves[step.number] for step in cycle if step.kind == "loop")
        around = [
            edges[step.kind][step.number].Oriented(brep.FORWARD if step.forward != far else brep.REVERSED)
            for step in (reversed(cycle) if far else cycle)
        ]
        faces.append(brep.face(surfaces[half], brep.wire(around)))
    return faces, circle


def _lay_loop(loop: Loop, mouth: float, surfaces: list[Geom_ConicalSurface]) -> list[int]:
    """Lay the loop's edges on the surface of their half turn, and tell which that is."""
    halves = []
    for strand, edges, crossings in zip(loop.strands, loop.edges, loop.split.sectors.crossings, strict=True):
        turn = loop.k * (loop.cut.axial + loop.cut.slope * strand.r - strand.s)
        across = (strand.r - mouth) * loop.cut.slope * ROOT_2
        shares = [0.0, *(crossing.share for crossing in crossings), 1.0]
        middles = np.array([(a + b) / 2 for a, b in pairwise(shares)])
        numbers = np.floor(
            (bernstein(len(turn) - 1, middles) @ turn - loop.split.sectors.start) / math.pi
        ).astype(int)
        for edge, number in zip(edges, numbers.tolist(), strict=True):
            back = loop.split.sectors.start + number * math.pi
            if strand.is_land:
                curve = brep.level_line(float(turn[0]) - back, float(across[0]), -1)
            else:
                curve = brep.bezier_2d(turn - back, across)
            brep.lay(edge, surfaces[number % 2], curve)
            halves.append(number % 2)
    return halves


def _generators(loop: Loop, circle: Circle) -> list[tuple[_Node, _Node]]:
    """The stretches of both generators inside the cone: from the circle to the loop, and between folds."""
    nodes = [[_Node(i, circle.radius, circle.vertices[i], ON_CIRCLE)] for i in (0, 1)]
    count = -1
    for crossings, vertices in zip(loop.split.sectors.crossings, loop.split.vertices, strict=True):
        for crossing, vertex in zip(crossings, vertices, strict=True):
            count += 1
            generator = round((crossing.angle - loop.split.sectors.start) / math.pi) % 2
            nodes[generator].append(_Node(generator, crossing.radius, vertex, count))
        count += 1
    stretches = []
    for line in nodes:
        line.sort(key=lambda node: abs(node.radius - circle.radius))
        stretches += list(zip(line[::2], line[1::2], strict=True))
    return stretches


def _generator(
    low: _Node, high: _Node, circle: Circle, slope: float, start: float, surfaces: list[Geom_ConicalSurface]
) -> TopoDS_Edge:
    """Straight edge between two nodes, laid on both half turns that it parts."""
    angle = start + low.generator * math.pi
    ends = [
        (
            node.radius * math.cos(angle),
            node.radius * math.sin(angle),
            circle.z + slope * (node.radius - circle.radius),
        )
        for node in (low, high)
    ]
    length = abs(high.radius - low.radius) * ROOT_2
    made = brep.edge(brep.line(ends[0], ends[1]), 0.0, length, low.vertex, high.vertex)
    across = (low.radius - circle.radius) * slope * ROOT_2
    direction = 1 if (high.radius - low.radius) * slope > 0 else -1
    brep.lay(made, surfaces[low.generator], brep.upright_line(0.0, across, direction))
    brep.lay(made, surfaces[1 - low.generator], brep.upright_line(math.pi, across, direction))
    return made


def _cycles(count: int, generators: list[tuple[_Node, _Node]]) -> list[list[_Step]]:
    """The faces' borders: along the loop, at every crossing off along the generator, and back to the loop."""
    following: dict[_Step, _Step] = {}
    for number, (low, high) in enumerate(generators):
        up, down = _Step("generator", number), _Step("generator", number, forward=False)
        following[up] = _Step("loop", (high.after + 1) % count)
        following[_Step("loop", high.after)] = down
        if low.after == ON_CIRCLE:
            following[down] = _Step("arc", low.generator)
            following[_Step("arc", 1 - low.generator)] = up
        else:
            following[down] = _Step("loop", (low.after + 1) % count)
            following[_Step("loop", low.after)] = up
    for number in range(count):
        following.setdefault(_Step("loop", number), _Step("loop", (number + 1) % count))
    cycles = []
    while following:
        first, step = following.popitem()
        cycle = [first]
        while step != first:
            cycle.append(step)
            step = following.pop(step)
        cycles.append(cycle)
    return cycles
