"""Mass, centre and inertia in closed form against worked values and independent sums."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from calcs.case import case_of, shape_in_metres
from calcs.check import run_checks
from calcs.mass import (
    MassProperties,
    combined,
    primitive_properties,
    shape_properties,
    turned_properties,
    weighed,
)
from geometry.bodies import Box, Cylinder, Posed, Shape
from geometry.design import read, read_text

DEMO = Path(__file__).parents[2] / "exports" / "demo" / "vial-lift.toml"
STEEL = 7850.0


def by_sampling(shape: Shape, density: float, step: float = 2.5e-4) -> MassProperties:
    """Sum over small cubes whose faces fall on those of the boxes: the independent second opinion."""
    ranges = ((-0.012, 0.022), (-0.022, 0.014), (-0.006, 0.022))
    axes = [np.arange(low + step / 2, high, step) for low, high in ranges]
    points = np.stack(np.meshgrid(*axes, indexing="ij"), -1).reshape(-1, 3)
    inside = np.any([within(piece, points) for piece in shape.adds], 0)
    kept = points[inside & ~np.any([within(piece, points) for piece in shape.cuts], 0)]
    mass, centre = density * step**3, kept.mean(0)
    offset = kept - centre
    tensor = mass * (np.sum(offset**2) * np.eye(3) - offset.T @ offset)
    return MassProperties(mass * len(kept), centre, tensor)


def within(piece: Box | Cylinder, points: np.ndarray) -> np.ndarray:
    if isinstance(piece, Box):
        return np.all((points >= piece.low) & (points <= piece.high), 1)
    along = "xyz".index(piece.axis)
    across = np.delete(points, along, 1) - np.array(piece.centre)
    low, high = piece.span
    return (np.hypot(*across.T) <= piece.radius) & (points[:, along] >= low) & (points[:, along] <= high)


def test_steel_cylinder_of_10_by_50() -> None:
    made = primitive_properties(Cylinder("z", (0.0, 0.0), 0.005, (0.0, 0.05)), STEEL)
    assert made.mass_kg * 1e3 == pytest.approx(30.82688, rel=1e-6)
    assert made.tensor_kg_m2[2, 2] * 1e6 == pytest.approx(0.385336, rel=1e-6)
    assert made.tensor_kg_m2[0, 0] * 1e6 == pytest.approx(6.614934, rel=1e-6)
    assert made.centre_m == pytest.approx([0.0, 0.0, 0.025])


def test_steel_tube_of_20_by_8_by_30() -> None:
    span = (0.0, 0.03)
    tube = Shape((Cylinder("z", (0.0, 0.0), 0.010, span),), (Cylinder("z", (0.0, 0.0), 0.004, span),))
    made = shape_properties(tube, STEEL)
    assert made.mass_kg == pytest.approx(0.06214699, rel=1e-6)
    assert made.tensor_kg_m2[2, 2] * 1e6 == pytest.approx(3.604525, rel=1e-6)
    assert made.tensor_kg_m2[0, 0] * 1e6 == pytest.approx(6.463287, rel=1e-6)


def test_aluminium_box_of_40_by_30_by_20() -> None:
    made = primitive_properties(Box((0.0, 0.0, 0.0), (0.04, 0.03, 0.02)), 2700.0)
    assert made.tensor_kg_m2[2, 2] * 1e6 == pytest.approx(13.5, rel=1e-9)
    assert made.centre_m == pytest.approx([0.02, 0.015, 0.01])


@pytest.mark.parametrize("axis", ["x", "y", "z"])
def test_bored_shapes_agree_with_a_sum_over_a_grid(axis: str) -> None:
    box = Box((-0.01, 0.0, 0.005), (0.02, 0.012, 0.02))
    bores = {
        "x": Cylinder("x", (0.006, 0.012), 0.003, (-0.01, 0.02)),
        "y": Cylinder("y", (0.003, 0.012), 0.004, (0.0, 0.012)),
        "z": Cylinder("z", (0.004, 0.006), 0.004, (0.005, 0.02)),
    }
    rod = Cylinder("y", (0.0, 0.0), 0.004, (-0.02, 0.0))
    shape = Shape((box, rod), (bores[axis],))
    made, summed = shape_properties(shape, STEEL), by_sampling(shape, STEEL)
    assert made.mass_kg == pytest.approx(summed.mass_kg, rel=0.01)
    assert np.allclose(made.centre_m, summed.centre_m, atol=1e-4)
    assert np.allclose(made.tensor_kg_m2, summed.tensor_kg_m2, atol=0.01 * summed.tensor_kg_m2.max())


def test_two_halves_make_the_whole() -> None:
    whole = primitive_properties(Box((0.0, 0.0, 0.0), (0.04, 0.03, 0.02)), 2700.0)
    left = primitive_properties(Box((0.0, 0.0, 0.0), (0.01, 0.03, 0.02)), 2700.0)
    right = primitive_properties(Box((0.01, 0.0, 0.0), (0.04, 0.03, 0.02)), 2700.0)
    joined = combined([left, right])
    assert joined.mass_kg == pytest.approx(whole.mass_kg, rel=1e-12)
    assert np.allclose(joined.tensor_kg_m2, whole.tensor_kg_m2, rtol=1e-12, atol=1e-18)


def test_another_mass_keeps_the_shape() -> None:
    rod = primitive_properties(Cylinder("x", (0.0, 0.0), 0.005, (0.0, 0.05)), STEEL)
    heavier = weighed(rod, 2.0 * rod.mass_kg)
    assert np.allclose(heavier.tensor_kg_m2, 2.0 * rod.tensor_kg_m2)
    assert str(heavier.moved(0.007)) == "61.65 g, centre at z = 7 mm"
    assert heavier.moved(0.007).centre_m == pytest.approx([0.025, 0.0, 0.007])


def test_a_turned_cylinder_is_the_cylinder() -> None:
    radius, length = 0.005, 0.05
    volume = math.pi * radius**2 * length
    moments = (volume * radius**2 / 2, volume * (3 * radius**2 + length**2) / 12)
    made = turned_properties(volume, 0.025, *moments, STEEL)
    rod = primitive_properties(Cylinder("z", (0.0, 0.0), radius, (0.0, length)), STEEL)
    assert np.allclose(made.tensor_kg_m2, rod.tensor_kg_m2)
    assert made.mass_kg == pytest.approx(rod.mass_kg)
    assert made.centre_m.tolist() == [0.0, 0.0, 0.025]


def rows(text: str | None = None) -> dict[str, object]:
    design = read(DEMO) if text is None else read_text(text)
    return {r.id: r for r in run_checks(case_of(design))}


def test_the_demo_weighs_its_parts() -> None:
    from calcs.checks.mass import Weighed

    case = case_of(read(DEMO))
    found = case.find("weighed_bodies")
    assert found is not None
    parts: dict[str, Weighed] = {w.name: w for w in found.value}
    assert sorted(parts) == sorted(
        ["motor", "gear", "encoder", "screw", "nut", "carriage", "arm", "guide_block", "flag"]
    )
    weights = {name: w.properties.mass_kg * 1e3 for name, w in parts.items() if w.properties}
    # the thread of 96 mm weighs 30.62 g; journals of 5 mm, 8 and 9 mm long, add 2.62 g, end cones take 0.1 g
    assert weights["screw"] == pytest.approx(30.62 + 2.62, abs=0.12)
    # POM flanged nut: body and flange less the threaded bore (mean area about 44 mm2) and four holes
    outer = math.pi / 4 * (15**2 * 12 + 24**2 * 4) - 4 * math.pi / 4 * 2.4**2 * 4
    assert weights["nut"] == pytest.approx(1.41e-3 * (outer - 16 * 44.0), rel=0.01)


def test_the_screw_is_as_hard_to_tilt_as_a_rod_of_its_length() -> None:
    found = case_of(read(DEMO)).find("screw_solid")
    assert found is not None
    # a stepped rod of 113 mm: a little less than m L^2 / 12, since its thin journals lie far out
    rod = found.value.mass_kg * 0.113**2 / 12
    assert 0.85 * rod < found.value.tensor_kg_m2[0, 0] < rod
    assert found.value.tensor_kg_m2[0, 0] == found.value.tensor_kg_m2[1, 1]
    assert 0.052 < found.value.centre_m[2] < 0.060


def test_the_nuts_thread_is_put_back_into_its_bore() -> None:
    case = case_of(read(DEMO))
    bodies, parts = case.find("bodies"), case.find("weighed_bodies")
    assert bodies is not None
    assert parts is not None
    plain = next(b for b in bodies.value if b.name == "nut").shape
    nut = next(w for w in parts.value if w.name == "nut").properties
    assert nut.mass_kg > shape_properties(shape_in_metres(plain), 1410.0).mass_kg
    assert nut.centre_m[2] == pytest.approx(0.0235, abs=5e-4)


def test_the_centre_moves_linearly_with_the_nut() -> None:
    case = case_of(read(DEMO))
    found = case.find("assembly_poses")
    assert found is not None
    low, middle, high, _ = found.value
    z = [pose.properties.centre_m[2] for pose in (low, middle, high)]
    assert z[2] - z[1] == pytest.approx(z[1] - z[0], rel=1e-12)
    moving = sum(w.properties.mass_kg for w in case.find("weighed_bodies").value if w.moves)
    assert (z[2] - z[0]) / 0.068 == pytest.approx(moving / low.properties.mass_kg, rel=1e-12)


def test_the_band_of_an_inertia_holds_every_position_of_the_travel() -> None:
    case = case_of(read(DEMO))
    band = rows()["mass.inertia_xx"].value
    parts = case.find("weighed_bodies").value
    for s in np.linspace(-0.004, 0.064, 35):
        whole = combined([w.properties.moved(s) if w.moves else w.properties for w in parts])
        moment = whole.tensor_kg_m2[0, 0] * 1e6
        assert band.low * (1 - 1e-9) <= moment <= band.high * (1 + 1e-9)


def test_a_part_without_material_or_mass_is_named_and_asks_nothing() -> None:
    text = DEMO.read_text(encoding="utf-8").replace('mass = "28 g"\n', "").replace('material = "POM"\n', "")
    row = rows(text)["mass.total"]
    assert row.verdict == "NOT CHECKED"
    assert row.note == "needs mass or a known material of motor, mass or a known material of nut"
    assert not row.counts


def test_a_part_that_has_no_place_is_not_left_out_silently() -> None:
    text = DEMO.read_text(encoding="utf-8").replace(
        '[motor]\nkind = "brushed"\ndiameter = "16 mm"\n', "[motor]\n"
    )
    row = rows(text)["mass.total"]
    assert row.verdict == "NOT CHECKED"
    assert "motor.diameter" in row.note


def test_moving_bodies_that_do_not_add_up_are_said() -> None:
    text = DEMO.read_text(encoding="utf-8").replace('mass = "0.450 kg"', 'mass = "0.400 kg"')
    row = rows(text)["mass.moving"]
    assert (row.verdict, row.limit) == ("WARN", 400.0)
    assert row.remedy.startswith('motion.mass = "0.45 kg"')


def test_a_given_centre_moves_the_body() -> None:
    text = DEMO.read_text(encoding="utf-8")
    moved = text.replace('mass = "390 g" ', 'mass = "390 g"\ncentre = ["0 mm", "100 mm", "4 mm"]  ')
    assert moved != text
    before, after = (rows(t)["mass.centre_y"].value for t in (text, moved))
    total = rows(text)["mass.total"].value
    assert after - before == pytest.approx(390.0 * (100.0 - 30.0) / total, rel=1e-9)


def test_without_its_inertia_given_the_screws_own_is_used() -> None:
    text = DEMO.read_text(encoding="utf-8")
    own = "\n".join(line for line in text.splitlines() if not line.startswith('inertia = "2.536'))
    case = case_of(read_text(own))
    inertia = case.find("screw_inertia_kg_m2")
    assert inertia is not None
    assert inertia.origin == "derived"
    # between the rod of the root diameter and that of the major diameter, 96 mm long
    low, high = (math.pi / 32 * STEEL * d**4 * 0.096 for d in (0.0062, 0.008))
    assert low < inertia.value < high
    assert inertia.value == pytest.approx(2.144e-7, rel=2e-3)


FILE_ARM = 'file = "arm.step"\nmass = "390 g" '
ARM = 'box = ["-5..5 mm", "12..48 mm", "0..8 mm"]\nmass = "390 g" '


def test_a_file_body_weighs_what_is_given_but_its_inertia_is_not_guessed() -> None:
    text = DEMO.read_text(encoding="utf-8")
    boxed = rows(text)
    filed = rows(text.replace(ARM, f'centre = ["0 mm", "30 mm", "4 mm"]\n{FILE_ARM}'))
    assert filed["mass.total"].value == pytest.approx(boxed["mass.total"].value, rel=1e-12)
    assert filed["mass.centre_y"].value == pytest.approx(boxed["mass.centre_y"].value, rel=1e-12)
    assert filed["mass.inertia_xx"].verdict == "NOT CHECKED"
    assert filed["mass.inertia_xx"].note == "the inertia of arm is not known: a file"
    assert not filed["mass.inertia_xx"].counts
    centreless = rows(text.replace(ARM, FILE_ARM))["mass.total"]
    assert (centreless.verdict, centreless.note) == (
        "NOT CHECKED",
        "needs mass and centre of arm, which is a file",
    )


def test_moving_bodies_without_a_weight_are_named() -> None:
    text = DEMO.read_text(encoding="utf-8")
    assert rows(text.replace('mass = "34 g"\n', ""))["mass.moving"].note == (
        "needs mass or a known material of guide_block"
    )


def test_a_rod_askew_weighs_as_upright_with_its_axes_turned() -> None:
    rod = Cylinder("z", (0.0, 0.0), 0.002, (0.0, 0.010))
    upright = primitive_properties(rod, STEEL)
    askew = primitive_properties(Posed(rod, (0.0, 0.0, -0.050), (0.0, 0.6, -0.8), (1.0, 0.0, 0.0)), STEEL)
    assert askew.mass_kg == pytest.approx(upright.mass_kg)
    assert askew.centre_m == pytest.approx([0.0, 0.003, -0.054])  # 5 mm along (0, 0.6, -0.8)
    long, thin = upright.tensor_kg_m2[0, 0], upright.tensor_kg_m2[2, 2]
    # about the axis n: long (1 - n n) + thin n n
    assert askew.tensor_kg_m2[1] == pytest.approx(
        [0.0, 0.64 * long + 0.36 * thin, 0.48 * (long - thin)], abs=1e-18
    )
