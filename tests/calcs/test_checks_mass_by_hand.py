"""Mass rows of a few bodies that can be added up by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from calcs.case import section_area_m2
from calcs.check import Check
from calcs.checks import mass
from calcs.checks.mass import Weighed
from calcs.finding import Finding
from calcs.mass import MassProperties
from geometry.bodies import Body, Box, Cylinder, FileShape, Shape
from geometry.threads import thread
from geometry.units import Band

TR8 = thread("Tr8x1.5")


def found(check: Check, *numbers: object) -> Finding:
    finding = check.function(*numbers)
    assert isinstance(finding, Finding)
    return finding


def point_mass(kilograms: float, z: float, x: float = 0.0) -> MassProperties:
    return MassProperties(kilograms, np.array([x, 0.0, z]), np.zeros((3, 3)))


STANDING = Weighed("motor", False, point_mass(2.0, 0.10))
MOVING = Weighed("carriage", True, point_mass(1.0, 0.04))
BOTH = (STANDING, MOVING)


def test_poses_at_the_ends_in_the_middle_and_where_the_halves_meet() -> None:
    poses = mass.assembly_poses.function(BOTH, -0.01, 0.09)
    assert [pose.travel_m for pose in poses] == pytest.approx([-0.01, 0.04, 0.09, 0.06])
    assert str(poses[0]) == "s = -10 mm"
    # the moving kilogram at z = 30, 80, 130 and 100 mm beside 2 kg at 100 mm
    wanted = [(0.2 + z) / 3.0 for z in (0.03, 0.08, 0.13, 0.10)]
    assert [float(pose.properties.centre_m[2]) for pose in poses] == pytest.approx(wanted)
    # the nearest place outside the travel is its end
    assert mass.assembly_poses.function(BOTH, -0.01, 0.05)[3].travel_m == 0.05
    assert mass.assembly_poses.function(BOTH, 0.07, 0.09)[3].travel_m == 0.07
    assert mass.assembly_poses.function((STANDING,), 0.0, 0.1) == ()
    assert mass.assembly_poses.function((*BOTH, Weighed("arm", True, None, "mass")), 0.0, 0.1) == ()


def test_of_what_stretches_half_moves() -> None:
    bellows = Weighed("seal", False, point_mass(1.0, 0.10), stretches=True)
    poses = mass.assembly_poses.function((STANDING, bellows), 0.0, 0.06)
    # 2 kg and half a kilogram stand at 100 mm, the other half goes along by s
    assert float(poses[2].properties.centre_m[2]) == pytest.approx((0.25 + 0.5 * 0.16) / 3.0)
    assert poses[0].properties.mass_kg == pytest.approx(3.0)


def test_numbers_over_the_travel() -> None:
    poses = mass.assembly_poses.function(BOTH, -0.01, 0.09)
    row = found(mass.centre_z, poses, BOTH)
    assert row.value == pytest.approx(Band(0.23 / 3.0, 0.28 / 3.0, 0.33 / 3.0))
    assert row.note == "over s = -10 to 90 mm; the middle value at s = 40 mm"
    # about the common centre 2 / 3 kg d^2, d = 70, 20, -30 mm and none in between
    across = found(mass.inertia_xx, poses, BOTH)
    assert across.value == pytest.approx(Band(0.0, 2.0 / 3.0 * 4e-4, 2.0 / 3.0 * 49e-4), abs=1e-12)
    assert found(mass.inertia_yy, poses, BOTH).value == pytest.approx(across.value, abs=1e-12)
    assert found(mass.centre_x, poses, BOTH).note == "the same all along the travel"
    aside = (STANDING, Weighed("carriage", True, point_mass(1.0, 0.04, 0.03)))
    beside = mass.assembly_poses.function(aside, -0.01, 0.09)
    assert found(mass.centre_x, beside, aside).value == pytest.approx(0.01)
    # 2 / 3 kg 30 mm: 6e-4 about z, and minus its product with d along x and z
    assert found(mass.inertia_zz, beside, aside).value == pytest.approx(6e-4)
    product = found(mass.inertia_xz, beside, aside).value
    assert product == pytest.approx(Band(-0.02 * 0.03, 0.02 * 0.02, 0.02 * 0.07))
    assert found(mass.inertia_xy, beside, aside).value == pytest.approx(0.0)


def test_total_says_what_is_in_it_and_what_is_not() -> None:
    poses = mass.assembly_poses.function(BOTH, -0.01, 0.09)
    row = found(mass.total, poses, BOTH, ("brake",))
    assert (row.value, row.cautions) == (pytest.approx(3.0), ("Not counted: brake",))
    assert row.note == "motor 2000 g, carriage 1000 g"
    assert found(mass.total, poses, BOTH, ()).cautions == ()
    lacking = (*BOTH, Weighed("arm", True, None, "mass of arm"), Weighed("leg", True, None, "mass of leg"))
    row = found(mass.total, (), lacking, ("brake",))
    assert (row.verdict, row.note, row.remedy) == (
        "NOT CHECKED", "needs mass of arm, mass of leg", "give mass of arm",
    )  # fmt: skip
    assert (row.asked, row.cautions) == (False, ())
    unknown = Weighed("cover", True, MassProperties(1.0, np.zeros(3), np.full((3, 3), np.nan)))
    three = (*BOTH, unknown)
    row = found(mass.inertia_xx, mass.assembly_poses.function(three, 0.0, 0.1), three)
    assert (row.verdict, row.note) == ("NOT CHECKED", "the inertia of cover is not known: a file")


def test_a_screw_by_its_length() -> None:
    solid = MassProperties(0.05, np.zeros(3), np.diag([1e-5, 2e-5, 4e-7]))
    row = found(mass.screw_mass, solid, 0.4, 0.1)
    assert (row.value, row.note) == (
        0.05,
        "40 g of it a thread of full length; inertia about its axis 4 g*cm2",
    )
    assert mass.screw_inertia_kg_m2.function(None, solid) == 4e-7
    assert mass.screw_inertia_kg_m2.function(3e-7, solid) == 3e-7
    nut = MassProperties(0.05, np.zeros(3), np.diag([1e-5, 2e-5, 6e-7]))
    assert mass.screw_inertia_kg_m2.function(3e-7, solid, nut, "nut") == 6e-7
    assert mass.turning_nut.function((STANDING, Weighed("nut", True, nut))) is nut
    assert mass.turning_nut.function((STANDING,)) is None
    assert mass.thread_kg_m.function(8000.0, TR8) == pytest.approx(8000.0 * section_area_m2(TR8))


# 20 x 30 x 50 mm are 30 cm3; a known material is steel
BLOCK = Shape((Box((0.0, 0.0, 0.0), (20.0, 30.0, 50.0)),), ())
ARM = Body("arm", "load", True, BLOCK)
FILE = Body("arm", "load", True, FileShape("arm.step"))


def rod(radius: float) -> Cylinder:
    return Cylinder("z", (0.0, 0.0), radius, (14.0, 26.0))


def weighed(
    body: Body, screw: MassProperties | None = None, files: dict[str, MassProperties] | None = None
) -> Weighed:
    return mass._weighed(body, TR8, screw, files or {})


def test_a_body_by_its_mass_or_its_material() -> None:
    assert weighed(ARM).lacks == "mass or a known material of arm"
    by_mass = weighed(ARM._replace(mass_kg=0.5)).properties
    assert by_mass is not None
    assert by_mass.mass_kg == pytest.approx(0.5)
    assert by_mass.centre_m == pytest.approx([0.010, 0.015, 0.025])
    assert by_mass.tensor_kg_m2[2, 2] == pytest.approx(0.5 * (0.02**2 + 0.03**2) / 12.0)
    from calcs.materials import material

    steel = material("steel")
    assert steel is not None
    by_material = weighed(ARM._replace(material="steel")).properties
    assert by_material is not None
    assert by_material.mass_kg == pytest.approx(30e-6 * steel.density_kg_m3)
    both = weighed(ARM._replace(material="steel", mass_kg=0.5, centre=(1.0, 2.0, 3.0))).properties
    assert both is not None
    assert (both.mass_kg, both.centre_m.tolist()) == (pytest.approx(0.5), [0.001, 0.002, 0.003])
    made = point_mass(0.7, 0.05)
    assert weighed(ARM._replace(name="screw", material="steel"), made).properties is made
    assert weighed(ARM._replace(material="steel"), made).properties is not made


def test_a_file_by_its_numbers_or_its_solid() -> None:
    assert weighed(FILE).lacks == "mass and centre of arm, which is a file"
    assert weighed(FILE._replace(mass_kg=0.5)).lacks == "mass and centre of arm, which is a file"
    assert weighed(FILE._replace(centre=(1.0, 2.0, 3.0))).properties is None
    told = weighed(FILE._replace(mass_kg=0.5, centre=(1.0, 2.0, 3.0))).properties
    assert told is not None
    assert (told.mass_kg, told.centre_m.tolist()) == (0.5, [0.001, 0.002, 0.003])
    assert np.isnan(told.tensor_kg_m2).all()
    assert told.tensor_kg_m2.shape == (3, 3)
    # its solid as of density 1 kg/m3: 2e-5 m3 with a tenth of that for inertia
    solid = {"arm": MassProperties(2e-5, np.array([0.0, 0.0, 0.04]), np.eye(3) * 2e-6)}
    assert weighed(FILE, files=solid).lacks == "mass or a known material of arm"
    for body in (FILE._replace(mass_kg=0.5), FILE._replace(mass_kg=0.5, material="steel")):
        half = weighed(body, files=solid).properties
        assert half is not None
        assert (half.mass_kg, half.tensor_kg_m2[0, 0]) == (pytest.approx(0.5), pytest.approx(0.05))
        assert half.centre_m.tolist() == [0.0, 0.0, 0.04]
    from calcs.materials import material

    steel = material("steel")
    assert steel is not None
    made = weighed(FILE._replace(material="steel", centre=(1.0, 2.0, 3.0)), files=solid).properties
    assert made is not None
    assert made.mass_kg == pytest.approx(2e-5 * steel.density_kg_m3)
    assert made.centre_m.tolist() == [0.001, 0.002, 0.003]
    other = {"leg": solid["arm"]}
    assert weighed(FILE, files=other).properties is None
    assert weighed(ARM._replace(mass_kg=0.5), files=solid).properties is not None


def test_a_nut_is_bored_to_its_thread() -> None:
    # a round of 16 mm and 12 mm length around a bore of 9 mm, filled up again to the thread of the screw
    body = Body(
        "nut", "actuator", True,
        Shape((rod(8.0),), (rod(4.5),)),
        part_of_actuator=True, material="steel",
    )  # fmt: skip
    from calcs.materials import material

    steel = material("steel")
    made = weighed(body).properties
    assert steel is not None
    assert made is not None
    void = made.mass_kg / steel.density_kg_m3 / 0.012
    # between the rounds on the thread's minor and major diameter of the nut (6.5 and 8.3 mm)
    area = math.pi * 0.008**2 - void
    assert math.pi * 0.0065**2 / 4.0 < area < math.pi * 0.0083**2 / 4.0
    assert float(made.centre_m[2]) == pytest.approx(0.020, abs=1e-4)
    loose = weighed(body._replace(part_of_actuator=False)).properties  # a body of that name: as drawn
    assert loose is not None
    assert loose.mass_kg == pytest.approx(steel.density_kg_m3 * math.pi * (0.008**2 - 0.0045**2) * 0.012)
