"""The placed solids as one named tree: for STEP, and as a cadquery Assembly."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from exports.step import Node
from geometry.bodies import Body
from geometry.placed import Placement, place
from geometry.stack_solids import solids_of

if TYPE_CHECKING:
    import cadquery

    from geometry.design import Design

# group -> which bodies stand in it
GROUPS = ("standing", "gears", "turning", "moving", "room", "surroundings")


def prefix(design: Design) -> str:
    """Give what the names of this design's parts start with, so that two designs fit into one assembly."""
    return re.sub(r"[^A-Za-z0-9.-]+", "-", design.document.number or Path(design.path).stem).strip("-")


def group_of(body: Body) -> str:
    """Tell in which group of the tree a body stands."""
    if body.moves:
        return "moving"
    if not body.part_of_actuator:
        return "surroundings"
    if body.source == "teeth":
        return "gears"
    if body.role == "cable":
        return "room"  # no part: the room that a cable takes
    return "turning" if body.name == "screw" else "standing"


def assembly_tree(design: Design, placement: Placement, *, detailed: bool, with_housing: bool) -> Node:
    """Build the tree of the placed solids (mm), the nut at s = 0; surroundings only when asked for.

    Raises InputError for sizes that make no solid.
    """
    chosen = [p.body for p in placement.bodies if with_housing or group_of(p.body) != "surroundings"]
    pairs = solids_of(design, placement, bodies=chosen, detailed=detailed)
    name = prefix(design)
    groups = (_group(name, group, pairs) for group in GROUPS)
    return Node(name, children=tuple(node for node in groups if node.children))


def _group(name: str, group: str, pairs: Iterable[tuple[Body, Any]]) -> Node:
    parts = tuple(
        Node(f"{name}_{body.name}", solid, colour=body.colour)
        for body, solid in pairs
        if group_of(body) == group
    )
    return Node(f"{name}_{group}", children=parts)


def cadquery_assembly(design: Design, *, detailed: bool, with_housing: bool) -> cadquery.Assembly:
    """Build the placed assembly as a cadquery Assembly (mm). Raises InputError as `assembly_tree`."""
    return _assembly(assembly_tree(design, place(design), detailed=detailed, with_housing=with_housing))


def _assembly(node: Node) -> cadquery.Assembly:
    import cadquery

    colour = cadquery.Color(*node.colour) if node.colour else None
    made = cadquery.Assembly(
        None if node.children else cadquery.Shape.cast(node.solid), name=node.name, color=colour
    )
    for child in node.children:
        made.add(_assembly(child))
    return made
