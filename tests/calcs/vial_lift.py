"""The bodies of the demo's vial lift by hand, in numbers: what the fit tests stand on (mm)."""

from __future__ import annotations

from calcs.fit import FitReport, PlacedMesh, fit
from geometry.bodies import Body, Box, ClearanceClasses, Contact, Cylinder, Primitive, Role, Shape
from geometry.meshes import mesh_of

TRAVEL = (-4.0, 64.0)
USABLE = (0.0, 60.0)
CONTACTS = (
    Contact("gear", "mount_plate"),
    Contact("screw", "mount_plate"),
    Contact("screw", "top_plate"),
    Contact("nut", "screw"),
    Contact("guide_block", "rail"),
    Contact("carriage", "stop_low", (-4.0, -3.5)),
    Contact("carriage", "stop_high", (63.5, 64.0)),
)


def box(x0: float, x1: float, y0: float, y1: float, z0: float, z1: float) -> Box:
    return Box((x0, y0, z0), (x1, y1, z1))


def rod(radius: float, z0: float, z1: float, x: float = 0.0, y: float = 0.0) -> Cylinder:
    return Cylinder("z", (x, y), radius, (z0, z1))


def fixed(
    name: str, role: Role, *adds: Primitive, cuts: tuple[Primitive, ...] = (), own: bool = False
) -> Body:
    return Body(name, role, False, Shape(adds, cuts), part_of_actuator=own)


def moving(
    name: str, role: Role, *adds: Primitive, cuts: tuple[Primitive, ...] = (), own: bool = False
) -> Body:
    return Body(name, role, True, Shape(adds, cuts), part_of_actuator=own)


def actuator(*, flipped: bool = False) -> list[Body]:
    """Motor, gear, encoder, cable, screw, nut; flipped, the nut's flange faces the motor."""
    body, flange = (
        (rod(7.5, 18.0, 30.0), rod(12.0, 14.0, 18.0))
        if flipped
        else (rod(7.5, 14.0, 26.0), rod(12.0, 26.0, 30.0))
    )
    return [
        fixed("motor", "actuator", rod(8.0, -46.0, -16.0), own=True),
        fixed("gear", "actuator", rod(8.0, -16.0, -4.0), rod(8.0, -4.0, 0.0), *EARS, own=True),
        fixed("encoder", "actuator", rod(7.75, -54.0, -46.0), own=True),
        fixed(
            "screw", "actuator", rod(2.5, 0.0, 8.0), rod(4.0, 8.0, 104.0), rod(2.5, 104.0, 113.0), own=True
        ),
        moving("nut", "actuator", body, flange, cuts=(rod(4.15, 14.0, 30.0),), own=True),
    ]


EARS = (box(-13.0, -7.0, -4.0, 4.0, -4.0, 0.0), box(7.0, 13.0, -4.0, 4.0, -4.0, 0.0))


def movers(*, drop: float = 0.0) -> list[Body]:
    """Carriage, arm, block and flag; all but the block lowered by `drop`, as a flipped nut carries them."""
    return [
        moving(
            "carriage",
            "load",
            box(-15.0, 15.0, -12.0, 12.0, 30.0 - drop, 40.0 - drop),
            cuts=(rod(5.0, 30.0 - drop, 40.0 - drop),),
        ),
        moving("arm", "load", box(-5.0, 5.0, 12.0, 48.0, 30.0 - drop, 38.0 - drop)),
        moving("guide_block", "guide", box(-9.0, 9.0, -19.0, -12.0, 22.0, 42.0)),
        moving("flag", "load", box(-18.0, -15.0, -2.0, 2.0, 33.0, 34.0)),
    ]


def surroundings(*, floor: float = -74.0, rib_face: float = -18.7, pcb_shift: float = 0.0) -> list[Body]:
    """Housing, plates, stops, rail, rib and board."""
    wall = (floor, 118.0)
    return [
        fixed("rail", "guide", box(-3.5, 3.5, -24.0, -19.0, 8.0, 108.0)),
        fixed("back_wall", "housing", box(-24.0, 24.0, -28.0, -24.0, *wall)),
        fixed("left_wall", "housing", box(-24.0, -20.0, -24.0, 18.0, *wall)),
        fixed("right_wall", "housing", box(20.0, 24.0, -24.0, 18.0, *wall)),
        fixed("front_left", "housing", box(-24.0, -7.0, 18.0, 21.0, *wall)),
        fixed("front_right", "housing", box(7.0, 24.0, 18.0, 21.0, *wall)),
        fixed("sill_low", "housing", box(-7.0, 7.0, 18.0, 21.0, floor, 24.0)),
        fixed("sill_top", "housing", box(-7.0, 7.0, 18.0, 21.0, 106.0, 118.0)),
        fixed("mount_plate", "housing", box(-20.0, 20.0, -24.0, 18.0, 0.0, 5.0), cuts=(rod(5.0, 0.0, 5.0),)),
        fixed(
            "top_plate",
            "housing",
            box(-20.0, 20.0, -24.0, 18.0, 108.0, 113.0),
            cuts=(rod(2.5, 108.0, 113.0),),
        ),
        fixed("floor", "cover", box(-24.0, 24.0, -28.0, 21.0, floor - 4.0, floor)),
        fixed("lid", "cover", box(-24.0, 24.0, -28.0, 21.0, 118.0, 122.0)),
        fixed("stop_low", "housing", box(10.0, 14.0, -12.0, -9.0, 5.0, 26.0)),
        fixed("stop_high", "housing", box(10.0, 14.0, -12.0, -9.0, 104.0, 108.0)),
        fixed("rib", "housing", box(-20.0, rib_face, -6.0, 6.0, 61.0, 62.2)),
        fixed("pcb", "electronics", box(8.0 + pcb_shift, 18.0 + pcb_shift, 17.0, 18.0, 30.0, 90.0)),
    ]


def placed(body: Body) -> PlacedMesh:
    assert isinstance(body.shape, Shape)
    return PlacedMesh(body, mesh_of(body.shape))


def report(bodies: list[Body], contacts: tuple[Contact, ...] = CONTACTS) -> FitReport:
    return fit([placed(body) for body in bodies], contacts, ClearanceClasses(), TRAVEL, usable=USABLE)
