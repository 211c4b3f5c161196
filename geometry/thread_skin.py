"""The helical faces of a thread, in closed form: no sweep, no sewing, no boolean.

The thread is cut across into rings by surfaces z = axial + slope r that blend from one end's form to the
other's. Lines along the helices and cuts across them make a grid of vertices and edges; each cell is one
face, its neighbours share its edges, and every 2D curve is a straight line or a Bezier curve.

Imports the CAD kernel: import this module only where a solid is made.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from OCP.Geom import Geom_Curve, Geom_Surface
from OCP.TopoDS import TopoDS_Edge, TopoDS_Face, TopoDS_Vertex

from geometry import thread_brep as brep
from geometry.helix import DEGREE, Complex, Stretch, spirals
from geometry.outlines import Array, Piece
from geometry.thread_ends import Cut, ThreadedLength, ThreadEnd
from geometry.thread_sectors import Sectors, sectors

# Faces of more than a turn pass the validity check but break later booleans and mass properties.
MOST_TURN = 0.95
# A wider land, in leads, is split along the thread: it leaves each ring too little of a turn. Between arcs,
# whose faces cost the most, fewer rings are worth more lands.
MOST_LAND, MOST_LAND_BY_ARCS = 0.4, 0.25


@dataclass(frozen=True)
class Strand:
    """One piece of the outline of one start: the Bezier poles of its s and r (mm)."""

    s: Array
    r: Array
    is_land: bool


@dataclass(frozen=True)
class Split:
    """How a cone splits the strands' edges into sectors, and the vertices there; a plane leaves them be."""

    sectors: Sectors
    vertices: list[list[TopoDS_Vertex]]


@dataclass(frozen=True)
class Loop:
    """Where one cut meets the thread: its edges by strand, in the order of rising s, and their split."""

    cut: Cut
    k: float
    edges: list[list[TopoDS_Edge]]
    strands: list[Strand]
    split: Split


@dataclass(frozen=True)
class Skin:
    """The faces of a thread, oriented away from the axis, and the loops in which it ends."""

    faces: list[TopoDS_Face]
    near: Loop
    far: Loop


@dataclass(frozen=True)
class _Profile:
    """What a helix is multiplied by to give a flank: poles in the plane and along the axis, knots, degree.

    `turn` holds Bezier poles of the angle at which the profile stands ahead of the outline's own half plane.
    """

    plane: Complex
    height: Array
    knots: list[float]
    degree: int
    turn: Array


@dataclass(frozen=True)
class _Grid:
    """Everything that is shared between faces; index j counts cuts, i lines."""

    strands: list[Strand]
    k: float
    axial: Array
    slope: Array
    angles: Array  # (cuts, lines + 1): the last line is the first, a turn back
    cuts: list[list[list[TopoDS_Edge]]]  # each cut across each strand, split at an end into sectors
    helices: list[list[TopoDS_Edge]]
    profiles: list[tuple[_Profile, _Profile, _Profile]]  # of each strand: inside, in the near and far ring
    splits: list[Split]  # of each cut


def thread_skin(part: ThreadedLength) -> Skin:
    """The helical faces of a right-hand thread between its ends. Raises ShapeError for too wide a land."""
    grid = _grid(part)
    count = len(grid.strands)
    faces = [
        (_land if grid.strands[i].is_land else _flank)(grid, j, i)
        for j in range(len(grid.helices))
        for i in range(count)
    ]
    near, far = (
        Loop(end.cut, grid.k, grid.cuts[j], grid.strands, grid.splits[j])
        for end, j in zip(part.ends, (0, -1), strict=True)
    )
    return Skin(faces, near, far)


def _strands(part: ThreadedLength) -> list[Strand]:
    arcs = any(piece.degree > 1 for piece in part.outline.pieces)
    widest = (MOST_LAND_BY_ARCS if arcs else MOST_LAND) * part.thread.lead_mm
    pieces = [(poles, piece.is_land) for piece in part.outline.pieces for poles in _parts(piece, widest)]
    return [
        Strand(poles[:, 0] + start * part.thread.pitch_mm, poles[:, 1], is_land)
        for start in range(part.thread.starts)
        for poles, is_land in pieces
    ]


def _parts(piece: Piece, widest: float) -> list[Array]:
    """The poles of a piece, or of the parts into which a wide land is split."""
    poles = np.array(piece.poles)
    if not piece.is_land:
        return [poles]
    count = max(1, math.ceil(piece.width_mm / widest - 1e-9))
    stations = np.linspace(poles[0], poles[-1], count + 1)
    return [np.stack(ends) for ends in pairwise(stations)]


def _rings(part: ThreadedLength, strands: list[Strand], corner_radii: Array) -> tuple[Array, Array]:
    """The axial and slope (rings + 1,) of the cuts, so many that no face reaches a full turn."""
    near, far, lead = part.near.cut, part.far.cut, part.thread.lead_mm
    widest = max((float(strand.s[-1] - strand.s[0]) for strand in strands if strand.is_land), default=0.0)
    room = MOST_TURN * lead - widest
    longest = (far.axial - near.axial + (far.slope - near.slope) * corner_radii).max()
    share = np.linspace(0.0, 1.0, max(1, math.ceil(longest / room)) + 1)
    return near.axial + share * (far.axial - near.axial), near.slope + share * (far.slope - near.slope)


def _grid(part: ThreadedLength) -> _Grid:
    strands = _strands(part)
    k = math.tau / part.thread.lead_mm
    s = np.array([strand.s[0] for strand in strands] + [strands[0].s[0] + part.thread.lead_mm])
    r = np.array([strand.r[0] for strand in strands] + [strands[0].r[0]])
    axial, slope = _rings(part, strands, r)
    heights = axial[:, None] + slope[:, None] * r
    angles = k * (heights - s)
    rows = range(len(axial))
    columns = range(len(strands))
    radii, angle, height = r.tolist(), angles.tolist(), heights.tolist()
    vertices = [[brep.vertex(radii[i], angle[j][i], height[j][i]) for i in columns] for j in rows]
    unsplit = Split(Sectors(0.0, [[] for _ in strands]), [[] for _ in strands])
    near, far = (_split(end, strands, k) if end.mouth_radius_mm else unsplit for end in part.ends)
    splits = [near, *[unsplit] * (len(axial) - 2), far]
    by_strand = [
        _cut_edges(*_curves(strand, k, axial, slope, angles[:, i]), i, vertices, splits)
        for i, strand in enumerate(strands)
    ]
    cuts = [list(row) for row in zip(*by_strand, strict=True)]
    helices = [
        [
            _helix(radii[i], s[i], k, angle[j][i], angle[j + 1][i], vertices[j][i], vertices[j + 1][i])
            for i in columns
        ]
        for j in rows[:-1]
    ]
    profiles = [
        (_outline(strand), _sheared(strand, k, slope[0]), _sheared(strand, k, slope[-1]))
        for strand in strands
    ]
    return _Grid(strands, k, axial, slope, angles, cuts, helices, profiles, splits)


def _split(end: ThreadEnd, strands: list[Strand], k: float) -> Split:
    made = sectors([(strand.s, strand.r) for strand in strands], end.cut, k)
    vertices = [
        [brep.vertex(c.radius, c.angle, end.cut.height(c.radius)) for c in crossings]
        for crossings in made.crossings
    ]
    return Split(made, vertices)


def _outline(strand: Strand) -> _Profile:
    degree = len(strand.s) - 1
    return _Profile(strand.r.astype(complex), strand.s, [0.0, 1.0], degree, np.zeros(degree + 1))


def _sheared(strand: Strand, k: float, slope: float) -> _Profile:
    """The profile of an arc in a cut of some slope; that of a straight flank is its outline all the same."""
    if len(strand.s) == 2:
        return _outline(strand)
    poles = spirals((strand.s, strand.r), np.zeros(1), np.array([slope]), k)[0]
    turn = k * (slope * strand.r - strand.s)
    return _Profile(poles[:, 0] + 1j * poles[:, 1], poles[:, 2], _spiral_knots(poles), DEGREE, turn)


def _spiral_knots(poles: Array) -> list[float]:
    return [float(knot) for knot in np.linspace(0.0, 1.0, len(poles) - DEGREE + 1)]


def _helix(
    radius: float,
    s: float,
    k: float,
    first: float,
    last: float,
    start: TopoDS_Vertex,
    end: TopoDS_Vertex,
) -> TopoDS_Edge:
    """Edge along a helix, its parameter the angle."""
    stretch = Stretch.covering(first, last)
    plane, angle = stretch.poles()
    poles = np.column_stack((radius * plane.real, radius * plane.imag, s + angle / k))
    return brep.edge(brep.spline_curve(poles, stretch.knots, DEGREE), first, last, start, end)


def _curves(
    strand: Strand, k: float, axial: Array, slope: Array, first: Array
) -> tuple[list[Geom_Curve], float]:
    """The curve of each cut across a strand, and the parameter at its end: an angle or the outline's own."""
    if strand.is_land:
        radius, turn = float(strand.r[0]), k * float(strand.s[-1] - strand.s[0])
        heights = (axial + slope * radius).tolist()
        pairs = zip(heights, first.tolist(), strict=True)
        return [brep.circle(radius, z, angle, clockwise=True) for z, angle in pairs], turn
    poles = spirals((strand.s, strand.r), axial, slope, k)
    return [brep.spline_curve(curve, _spiral_knots(curve), DEGREE) for curve in poles], 1.0


def _cut_edges(
    curves: list[Geom_Curve], end: float, i: int, vertices: list[list[TopoDS_Vertex]], splits: list[Split]
) -> list[list[TopoDS_Edge]]:
    """The edges of each cut across strand i, from line i to the next."""
    cells = []
    for curve, row, split in zip(curves, vertices, splits, strict=True):
        stations = [0.0, *(crossing.share * end for crossing in split.sectors.crossings[i]), end]
        corners = [row[i], *split.vertices[i], row[(i + 1) % len(row)]]
        pairs = zip(pairwise(stations), pairwise(corners), strict=True)
        cells.append([brep.edge(curve, *span, *ends) for span, ends in pairs])
    return cells


def _bound(grid: _Grid, surface: Geom_Surface, j: int, i: int) -> TopoDS_Face:
    """Face between cuts j and j + 1 and lines i and i + 1: along the helix, up, back and down."""
    right = grid.helices[j][(i + 1) % len(grid.strands)]
    edges = (
        grid.helices[j][i],
        *grid.cuts[j + 1][i],
        right.Oriented(brep.REVERSED),
        *(edge.Oriented(brep.REVERSED) for edge in reversed(grid.cuts[j][i])),
    )
    return brep.face(surface, brep.wire(edges))


def _flank(grid: _Grid, j: int, i: int) -> TopoDS_Face:
    """Face on a spline surface: a helix along its first parameter times a profile along its second.

    The profile is the outline, but next to an end that of an arc is its spiral there, so that a plain end is
    a border of the surface: of a surface curved both ways the kernel boxes all that lies between its
    outermost parameters, trimmed off or not.
    """
    strand = grid.strands[i]
    profile = grid.profiles[i][1 if j == 0 else 2 if j == len(grid.helices) - 1 else 0]
    turns = [
        grid.k * (grid.axial[row] + grid.slope[row] * strand.r - strand.s) - profile.turn
        for row in (j, j + 1)
    ]
    stretch = Stretch.covering(min(map(min, turns)), max(map(max, turns)))
    plane, angle = stretch.poles()
    across = np.multiply.outer(plane, profile.plane)
    height = angle[:, None] / grid.k + profile.height
    poles = np.stack((across.real, across.imag, height), axis=-1)
    surface = brep.spline_surface(poles, (stretch.knots, profile.knots), (DEGREE, profile.degree))
    parameter = np.linspace(0.0, 1.0, len(strand.s))
    for row, turn in zip((j, j + 1), turns, strict=True):
        for edge in grid.cuts[row][i]:
            brep.lay(edge, surface, brep.bezier_2d(turn, parameter))
    following, back = _following(grid, i)
    brep.lay(grid.helices[j][i], surface, brep.level_line(-float(profile.turn[0]), 0.0))
    brep.lay(grid.helices[j][following], surface, brep.level_line(back - float(profile.turn[-1]), 1.0))
    return _bound(grid, surface, j, i)


def _land(grid: _Grid, j: int, i: int) -> TopoDS_Face:
    """Face on a cylinder whose seam lies opposite its middle."""
    strand, turn = grid.strands[i], grid.angles
    radius = float(strand.r[0])
    origin = (turn[j][i + 1] + turn[j + 1][i]) / 2 - math.pi
    surface = brep.cylinder(radius, origin)
    for row in (j, j + 1):
        height = float(grid.axial[row] + grid.slope[row] * radius)
        for edge in grid.cuts[row][i]:
            brep.lay(edge, surface, brep.level_line(turn[row][i] - origin, height, -1))
    following, back = _following(grid, i)
    for line, column, s, shift in ((i, i, strand.s[0], 0.0), (following, i + 1, strand.s[-1], back)):
        low, high = turn[j][column], turn[j + 1][column]
        start, end = (low - origin, s + low / grid.k), (high - origin, s + high / grid.k)
        # The edge's own parameter is its first line's angle, a turn ahead of the last line's.
        brep.lay(grid.helices[j][line], surface, brep.straight_2d(low - shift, high - shift, start, end))
    return _bound(grid, surface, j, i)


def _following(grid: _Grid, i: int) -> tuple[int, float]:
    """The next line, and its shift in angle: past the last line the first one follows, a turn back."""
    return (i + 1, 0.0) if i + 1 < len(grid.strands) else (0, -math.tau)
