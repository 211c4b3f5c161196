"""Bodies that stretch along the travel, as two rigid ends that together take exactly their room (mm).

From the retracted end on a bellows fills what its shortest form fills there, once standing and once going
with s: the standing end and the way of the moving one are all that it ever fills. What it meets at one
travel it meets at every larger one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from calcs.clearance_windows import Interval
from geometry.bodies import Body, Contact, Cylinder, Shape
from geometry.meshes import Mesh, mesh_of

FRONT = "_front"  # what the moving end is called, after its body's name


def rigid_ends(body: Body, travel: Interval) -> tuple[Body, Body]:
    """Give the standing and the moving end of a body that stretches (mm, s = 0). Source: see the module."""
    assert isinstance(body.shape, Shape)  # geometry makes it of rounds along z
    (piece,) = body.shape.adds
    assert isinstance(piece, Cylinder)
    low, high = piece.span
    shortest = high - low + travel[0]
    standing = _with_span(body.shape, (low, low + shortest))
    moving = _with_span(body.shape, (high - shortest, high))
    name = f"{body.name}{FRONT}"
    return body._replace(shape=standing), body._replace(name=name, shape=moving, moves=True)


def _with_span(shape: Shape, span: Interval) -> Shape:
    adds, cuts = (
        tuple(piece._replace(span=span) for piece in pieces if isinstance(piece, Cylinder))
        for pieces in (shape.adds, shape.cuts)
    )
    return Shape(adds, cuts)


def rigid(placed: Iterable[tuple[Body, Mesh]], travel: Interval) -> Iterator[tuple[Body, Mesh]]:
    """Give bodies with their meshes (mm), what stretches as its two ends. Source: see the module."""
    for body, mesh in placed:
        if not body.stretches:
            yield body, mesh
            continue
        for end in rigid_ends(body, travel):
            assert isinstance(end.shape, Shape)
            yield end, mesh_of(end.shape)


def with_fronts(contacts: Sequence[Contact], bodies: Iterable[Body]) -> tuple[Contact, ...]:
    """Let what may touch a body that stretches touch its moving end too. No source needed."""
    stretching = {body.name for body in bodies if body.stretches}
    fronts = [c._replace(a=f"{c.a}{FRONT}") for c in contacts if c.a in stretching]
    fronts += [c._replace(b=f"{c.b}{FRONT}") for c in contacts if c.b in stretching]
    return (*contacts, *fronts)


def to_the_end(windows: Sequence[Interval], travel: Interval) -> tuple[Interval, ...]:
    """Let windows of travel go on to the extended end, for a body that stretches. Source: see the module."""
    return ((min(low for low, _ in windows), travel[1]),) if windows else ()
