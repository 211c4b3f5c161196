"""Solids of every family: nuts around it, a thousand turns of it, and both ends of its tolerance."""

import math

import pytest
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.GProp import GProp_GProps
from OCP.TopoDS import TopoDS

from geometry.own_thread import outline_thread, symmetric_points
from geometry.thread_ends import threaded_bore, threaded_rod
from geometry.thread_properties import threaded_solid
from geometry.thread_solid import nut_solid, rod_solid, thread_solid
from geometry.threads import thread

OWN = outline_thread(
    20.0, 4.0, symmetric_points(4.0, 2.4, 1.3, (10.0, 20.0)), radii_mm=(0.1, 0.1, 0.4, 0.4), clearance_mm=0.1
)
EVERY = [
    *("M8", "Tr16x32(P4)", "1/2-0.1P-0.8L ACME LH", "Sq20x4", "Sq20x32(P4) LH", "S20x4", "S20x32(P4) LH"),
    *("Ball16x5", "Ball16x5 arc LH", "Ball40x40", "Ball16x40(P5)", OWN),
]


def made_of(name):
    return thread(name) if isinstance(name, str) else name


def volume(solid):
    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, found)
    return found.Mass()


@pytest.mark.parametrize("name", EVERY, ids=str)
@pytest.mark.parametrize("ends", ["plain", "chamfered"])
def test_a_nut_around_every_family_is_one_valid_solid(name, ends):
    made = made_of(name)
    # The countersinks of a nut must not meet: twice their depth and a bit of full thread.
    length = max(1.2 * made.lead_mm, made.internal_major_diameter_mm)
    bore = threaded_bore(made, 2.0, 2.0 + length, ends=ends)
    radius = made.internal_major_diameter_mm
    outer = BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(0, 0, 2), gp_Dir(0, 0, 1)), radius, length).Solid()
    solid = nut_solid(TopoDS.Solid_s(outer), made, 2.0, 2.0 + length, ends=ends)
    assert BRepCheck_Analyzer(solid).IsValid()
    expected = math.pi * radius**2 * length - threaded_solid(bore).volume_mm3
    assert volume(solid) == pytest.approx(expected, rel=1e-6)


@pytest.mark.long
@pytest.mark.parametrize("name", [n for n in EVERY if not isinstance(n, str) or "P" not in n], ids=str)
def test_a_thousand_turns_of_every_family_are_valid(name):
    made = made_of(name)
    rod = threaded_rod(made, 1000 * made.lead_mm, ends="chamfered")
    solid = rod_solid(made, 1000 * made.lead_mm, ends="chamfered")
    assert BRepCheck_Analyzer(solid).IsValid()
    assert volume(solid) == pytest.approx(threaded_solid(rod).volume_mm3, rel=1e-6)


@pytest.mark.parametrize(
    ("designation", "name"), [("M8", "6g"), ("Tr8x1.5", "7e"), ("1/2-10 ACME", "2G"), ("Tr8x8(P2) LH", "7e")]
)
def test_solids_at_the_limits_are_as_wide_as_the_limits_say(designation, name):
    made, volumes = thread(designation), []
    for place, size in enumerate(("maximum-material", "minimum-material")):
        solid = thread_solid(designation, 3 * made.lead_mm, tolerance_class=name, size=size)
        assert solid.isValid()
        assert solid.BoundingBox().xlen == pytest.approx(made.limits(name)["d"][place], rel=1e-4)
        volumes.append(solid.Volume())
    assert volumes[0] > volumes[1]
