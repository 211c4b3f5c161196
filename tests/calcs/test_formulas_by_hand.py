"""Every formula once in numbers that can be done by hand, and on both sides of what it decides.

The screw of the rows has d2 = 10 mm and lead pi mm, so tan(lambda) = 0.1; friction 0.15 on flanks of
60 degrees makes tan(phi') = 0.3. Then tan(phi' + lambda) = 0.4 / 0.97 and tan(phi' - lambda) = 0.2 / 1.03.
"""

from __future__ import annotations

import importlib
import inspect
import math
import pkgutil
from math import atan, inf, log, pi, sqrt

import pytest

import calcs.formulas

LEAD, D2, FRICTION, FLANK = 0.001 * pi, 0.01, 0.15, pi / 3.0
THREAD = (LEAD, D2, FRICTION, FLANK)

ROWS: dict[str, list[tuple[tuple[float, ...], float]]] = {
    # (3 * 1000 + 5 * 8000) / 8 = 5375
    "ball.merged_load_n": [((10.0, 3.0, 20.0, 5.0), 5375.0 ** (1.0 / 3.0))],
    "ball.basic_life_turns": [((3000.0, 500.0, 1.5), 64e6)],  # 3000 / 750 = 4, its cube 64
    "ball.dynamic_load_n": [((500.0, 64e6, 1.5), 3000.0)],
    "ball.static_safety": [((3000.0, 600.0), 5.0)],
    "ball.lift_off_n": [((100.0,), 282.8427125)],
    # tan(beta) = 0.16: 0.05 * 200 * 0.0016 pi / (2 pi 0.4)
    # 100 N lift off at 282.84; three of four parts more: 1.75^1.5 is 2.315
    "ball.preloaded_load_n": [
        ((212.132034355964, 100.0), 231.503239718152),
        ((0.0, 100.0), 100.0),
        ((283.0, 100.0), 283.0),
        ((50.0, 0.0), 50.0),
    ],
    "ball.preload_torque_nm": [((200.0, 0.0016 * pi, 0.01), 0.02)],
    "ball.ball_speed_m_s": [((0.016, 100.0), 1.6)],
    "environment.growth_m": [((12e-6, 20e-6, 0.5, 30.0), 1.2e-4)],  # 8e-6 * 15
    "environment.travel_deviation_m": [((0.12, 20e-6, 0.3), 16e-6)],
    "gearing.input_torque_nm": [((6.0, 4.0, 0.75), 2.0)],
    "gearing.output_torque_nm": [((2.0, 4.0, 0.75), 6.0)],
    "gearing.lost_motion_m": [((0.005, 0.3), 0.00075 / pi)],
    "gearing.wind_up_rad": [((0.6, 30.0), 0.02)],
    "gearing.step_m": [((0.006, 5.0, 4.0), 0.0003)],
    "mass.cylinder_volume_m3": [((0.2, 0.5), 0.02 * pi)],
    "mass.box_volume_m3": [((0.2, 0.3, 0.5), 0.03)],
    "mass.axial_inertia_kg_m2": [((3.0, 0.2), 0.06)],
    "mass.transverse_inertia_kg_m2": [((3.0, 0.2, 0.5), 0.0925)],  # 3 (0.12 + 0.25) / 12
    "mass.box_inertia_kg_m2": [((3.0, 0.2, 0.4), 0.05)],
    # wide: sqrt(0.8 * 0.3) = 0.49 is not reached; short: sqrt(0.8 * 0.05) = 0.2 is all that is
    "motion.peak_speed_m_s": [((0.3, 0.2, 0.8), 0.2), ((0.05, 0.5, 0.8), 0.2)],
    "motion.move_time_s": [((0.3, 0.2, 0.8), 1.75), ((0.05, 0.5, 0.8), 0.5)],
    "motion.ramp_time_s": [((0.2, 0.8), 0.25)],
    "motion.stopping_distance_m": [((0.4, 0.8, 0.05), 0.12)],  # 0.16 / 1.6 + 0.02
    "motion.angular_acceleration_rad_s2": [((0.5, 0.005), 200.0 * pi)],
    "motion.carried_inertia_kg_m2": [((3.0, 0.01), 7.5e-5 / pi**2)],
    "motion.reflected_inertia_kg_m2": [((24e-6, 4.0), 1.5e-6)],
    # behind the gear 24e-6 / 16 / 0.75 = 2e-6, as much again as the rotor's; times 4 * 100
    "motion.acceleration_torque_nm": [((2e-6, 24e-6, 4.0, 0.75, 100.0), 1.6e-3)],
    "motion.moment_friction_n": [((30.0, 0.05, 0.04, 0.2), 15.0)],
    "motion.tilt_error_m": [((0.0002, 0.05, 0.04), 0.00025)],
    "motion.binding_ratio": [((0.2,), 2.5)],
    # 4.5 m in 3 s: at 2.25 m/s2 it is 2.25 m/s (2 s + 1 s), at 2 the triangle, at 1.5 out of reach
    "motion.speed_for_time_m_s": [((4.5, 3.0, 2.25), 2.25), ((4.5, 3.0, 2.0), 3.0), ((4.5, 3.0, 1.5), inf)],
    "motion.least_acceleration_m_s2": [((0.3, 0.5), 4.8)],
    "motion.thirds_speed_m_s": [((0.3, 0.5), 0.9)],
    "motion.thirds_acceleration_m_s2": [((0.3, 0.5), 5.4)],
    "motion.rms_speed_m_s": [((0.3, 0.8, 1.5, 4.0), 0.15)],  # 4/3 * 0.375 = 0.5: 0.3 sqrt(1 / 4)
    "motion.rms_acceleration_m_s2": [((0.2, 0.8, 2.0), 0.4)],  # 0.8 sqrt(0.4 / 1.6)
    # one motor in all rows: 12 V, 4 ohm, 0.05 N*m/A, 0.2 A; 2 A give 0.09 N*m at 80 rad/s
    "motor.current_a": [((0.09, 0.05, 0.2), 2.0)],
    "motor.torque_nm": [((2.0, 0.05, 0.2), 0.09)],
    "motor.voltage_v": [((2.0, 4.0, 0.05, 80.0), 12.0)],
    "motor.available_torque_nm": [((12.0, 4.0, 0.05, 0.2, 80.0), 0.09)],
    "motor.speed_at_torque_rad_s": [((12.0, 4.0, 0.05, 0.2, 0.09), 80.0)],
    "motor.resistance_at_ohm": [((4.0, 75.0, 25.0, 0.004), 4.8)],
    # 0.25 * 4 * 50 = 50 K cold, 53 K at 40 degC, over 1 - 0.2; at 1.2 A 288 K, and 0.004 of it is more than 1
    "motor.copper_temperature_c": [((50.0, 40.0, 25.0, 0.004), 106.25), ((300.0, 40.0, 25.0, 0.004), inf)],
    # R2 half of R1, both constants 1 s, no growth: rates -1/2 and -2; after 4 log 2 s a quarter and 1/256 are
    # left: 10 and 20 K leave (645 + 1260) / 384 and (315 + 660) / 384; 1 W on 3 and 1.5 K/W goes to 4.5, 1.5;
    # with R2 = 0 the housing stays, and growth 1 makes the winding's rise a line: 3 K in 2 s
    "motor.winding_rise_k": [
        ((10.0, 20.0, 0.0, 0.0, 3.0, 1.5, 1.0, 1.0, 4.0 * log(2.0)), 1905.0 / 384.0),
        ((0.0, 0.0, 1.0, 0.0, 3.0, 1.5, 1.0, 1.0, 4.0 * log(2.0)), 4.5 - 384.75 / 384.0),
        ((1.0, 0.0, 1.0, 1.0, 3.0, 0.0, 2.0, 5.0, 4.0), 7.0),
        ((8.0, 0.0, 0.0, 0.5, 3.0, 0.0, 2.0, 5.0, 4.0 * log(2.0)), 4.0),
    ],
    "motor.housing_rise_k": [
        ((10.0, 20.0, 0.0, 0.0, 3.0, 1.5, 1.0, 1.0, 4.0 * log(2.0)), 975.0 / 384.0),
        ((0.0, 0.0, 1.0, 0.0, 3.0, 1.5, 1.0, 1.0, 4.0 * log(2.0)), 1.5 - 191.25 / 384.0),
        ((1.0, 6.0, 1.0, 1.0, 3.0, 0.0, 2.0, 5.0, 5.0 * log(2.0)), 3.0),
    ],
    "motor.winding_temperature_c": [
        ((0.5, 4.0, 50.0, 40.0, 25.0, 0.004), 106.25),
        ((1.2, 4.0, 50.0, 40.0, 25.0, 0.004), inf),
    ],
    "motor.rms_current_a": [((18.0, 2.0), 3.0)],
    "motor.resistance_from_stall_ohm": [((12.0, 3.0), 4.0)],
    "motor.torque_constant_from_stall_nm_a": [((0.14, 3.0, 0.2), 0.05)],
    "motor.torque_constant_from_no_load_nm_a": [((12.0, 4.0, 0.2, 224.0), 0.05)],
    "motor.copper_loss_w": [((3.0, 4.0), 36.0)],
    # on for ln 2 and off for another ln 2 time constants: 30 K * (1 / 2) / (3 / 4)
    "motor.stepper_corner_rad_s": [((12.0, 0.003, 2.0, 200.0), 40.0)],  # 12 / (0.006 * 50)
    "motor.step_time_s": [((5.0, 200.0), 0.002 * pi)],
    "nut.engaged_turns": [((0.012, 0.0015), 8.0)],
    "nut.thread_pressure_pa": [((600.0, 0.01, 0.001, 8.0, 0.75), 1e7 / pi)],
    "nut.pressure_velocity_pa_m_s": [((3e6, 0.02), 6e4)],
    "nut.wear_depth_m": [((1e-14, 3e6, 400.0), 1.2e-5)],
    "nut.axial_wear_m": [((1e-5, pi / 3.0), 2e-5)],
    "nut.thread_bending_pa": [((500.0, 0.01, 8.0, 0.003), 12.5e6 / pi)],  # 3000 / (2.4e-4 pi)
    "nut.first_turn_force_n": [((100.0, 5.0), 38.0), ((100.0, 2.5), 40.0)],
    "nut.thread_shear_pa": [((500.0, 0.01, 8.0, 0.003), 6.25e6 / pi)],
    "screw.lead_angle_rad": [((LEAD, D2), atan(0.1))],
    "screw.friction_angle_rad": [((FRICTION, FLANK), atan(0.3))],
    # tan(phi') of 9 and 11 with 0.1: (9.1) / (1 - 0.9), and more than a right angle
    "screw.torque_per_force_m": [
        (THREAD, 0.005 * 0.4 / 0.97),
        ((LEAD, D2, 4.5, FLANK), 0.455),
        ((LEAD, D2, 5.5, FLANK), inf),
    ],
    # a collar of 0.12 on 30 mm brakes with 1000 * 0.12 * 0.015 = 1.8
    "screw.collar_torque_nm": [((1000.0, 0.12, 0.03), 1.8)],
    "screw.raise_torque_nm": [((1000.0, D2, LEAD, FRICTION, FLANK, 0.12, 0.03), 2.0 / 0.97 + 1.8)],
    "screw.lower_torque_nm": [((1000.0, D2, LEAD, FRICTION, FLANK, 0.12, 0.03), 1.0 / 1.03 + 1.8)],
    # 0.1 * 0.97 / 0.4; with a collar of 0.12 on 30 mm 0.5 mm over 2 / 0.97 + 1.8 mm
    "screw.efficiency": [(THREAD, 0.2425), ((*THREAD, 0.12, 0.03), 0.0005 / (0.002 / 0.97 + 0.0018))],
    "screw.holding_ratio": [(THREAD, 3.0)],
    "screw.threshold_friction": [((LEAD, D2, FLANK), 0.05)],
    "screw.push_force_n": [
        ((2.0, D2, LEAD, FRICTION, FLANK), 970.0),
        ((2.0, D2, LEAD, FRICTION, FLANK, 0.12, 0.03), 2.0 / (0.002 / 0.97 + 0.0018)),
    ],
    "screw.rotation_rad_s": [((0.02, 0.005), 8.0 * pi)],
    "screw.sliding_share": [((LEAD, D2), sqrt(101.0))],  # sin(atan(0.1)) = 0.1 / sqrt(1.01)
    "screw.sliding_speed_m_s": [((0.02, LEAD, D2), 0.02 * sqrt(101.0))],
    "screw.back_efficiency": [(THREAD, -2.0 / 1.03)],
    "screw.torque_at_efficiency_nm": [((1000.0, 0.005, 0.25), 10.0 / pi)],
    "screw.driven_torque_nm": [((1000.0, 0.005, 0.4), 1.0 / pi)],
    # 2 * 0.15 * 0.002 / 0.01 = 0.06 of the torque comes back; 1.2 of it locks
    "screw.anti_rotation_factor": [((0.002, 0.15, 0.01), 1.0 / 0.94), ((0.04, 0.15, 0.01), inf)],
    "screw.anti_rotation_friction_n": [((2.0, 0.15, 0.01), 60.0)],
    "screw.spring_drag_nm": [((1000.0, *THREAD), 2.0 / 0.97 + 1.0 / 1.03)],
    "stops.rotational_energy_j": [((4e-6, 300.0), 0.18)],
    "stops.translational_energy_j": [((3.0, 0.4), 0.24)],
    "stops.arriving_energy_j": [((0.4, 0.1, 0.05, 0.75, 0.5), 0.25)],  # (0.3 + 0.1) / 2 + 0.05
    "stops.impact_force_n": [((30.0, 0.8, 1000.0), 80.0)],  # 30 + sqrt(900 + 1600)
    "stops.push_for_impact_n": [((80.0, 0.8, 1000.0), 30.0)],
    "strength.round_second_moment_m4": [((0.01,), pi * 1e-8 / 64.0)],
    "strength.round_area_m2": [((0.01,), 2.5e-5 * pi)],
    "strength.axial_stress_pa": [((500.0, 0.01), 2e7 / pi)],
    "strength.torsion_stress_pa": [((5.0, 0.01), 8e7 / pi)],
    "strength.body_stress_pa": [((11.0, 5.0), 14.0)],  # 121 + 75 = 196
    "strength.slenderness": [((0.5, 0.01, 0.25), 400.0)],  # 0.5 / (0.5 * 0.0025)
    "strength.transition_slenderness": [((2e11, 4e8), pi * sqrt(1000.0))],  # 99.3
    "strength.euler_load_n": [((2e11, 0.01, 0.5, 0.25), 31.25 * pi**3)],
    # slenderness 12: 4e8 * 12 / 2 pi, squared over E is 2.88e7 / pi^2, on 2.5e-5 pi
    "strength.johnson_load_n": [((2e11, 4e8, 0.01, 0.06, 4.0), 1e4 * pi - 720.0 / pi)],
    "strength.buckling_load_n": [
        ((2e11, 4e8, 0.01, 0.5, 0.25), 31.25 * pi**3),
        ((2e11, 4e8, 0.01, 0.06, 4.0), 1e4 * pi - 720.0 / pi),
    ],
    "strength.critical_speed_rad_s": [((2e11, 8000.0, 0.01, 0.5, 3.0), 450.0)],  # 36 * 5000 * 0.0025
    "strength.thread_root_stress_pa": [((3.0, 5.0, 7.0), 14.0)],  # 9 + 15 + 25 + 147
    "strength.shear_yield_pa": [((4e8,), 2.308e8)],
    "strength.stress_area_m2": [((0.009, 0.007), 1.6e-5 * pi)],
    "strength.bolt_preload_n": [((2e-5, 6e8, 0.75), 9000.0)],
    "strength.tightening_torque_nm": [((5000.0, 0.008, 0.2), 8.0)],
    "strength.gyration_diameter_m": [((0.04, 0.03), 0.05)],
    "strength.tube_share": [((0.04, 0.03), 0.28)],  # (16 - 9) / 25
    # a span as long as the overhang: tan(u) = 2 u, its root 1.165561 is tabulated; no span: fixed and free
    "strength.overhang_end_factor": [((0.3, 0.3), (1.16556118520 / pi) ** 2), ((1e-9, 0.3), 0.25)],
    "teeth.lewis_factor": [((17.0,), 0.303), ((11.0,), 0.245), ((500.0,), 0.480)],
    "teeth.tooth_force_n": [((0.6, 0.02, 3.0), 20.0)],
    "teeth.lewis_bending_pa": [((300.0, 0.01, 0.002, 0.3), 5e7)],
    "teeth.zone_factor": [((pi / 6.0,), sqrt(8.0 / sqrt(3.0)))],  # cos sin = sqrt(3) / 4
    # Z_H = 2 at 45 degrees; E / (2 pi 0.64) = 1e11; 300 / 2e-4 * 4 / 3 = 2e6
    "teeth.contact_pressure_pa": [
        ((300.0, 0.01, 0.02, 3.0, pi / 4.0, 1.28e11 * pi, 0.6), 2.0 * sqrt(2e17)),
    ],
}


def names() -> list[str]:
    modules = [
        importlib.import_module(f"calcs.formulas.{info.name}")
        for info in pkgutil.iter_modules(calcs.formulas.__path__)
    ]
    return [
        f"{module.__name__.rpartition('.')[2]}.{name}"
        for module in modules
        for name, entry in vars(module).items()
        if inspect.isfunction(entry) and entry.__module__ == module.__name__ and not name.startswith("_")
    ]


@pytest.mark.parametrize("name", names())
def test_a_formula_gives_what_is_worked_out_by_hand(name: str) -> None:
    module, _, function = name.partition(".")
    formula = getattr(importlib.import_module(f"calcs.formulas.{module}"), function)
    for arguments, wanted in ROWS[name]:
        assert float(formula(*arguments)) == pytest.approx(wanted, rel=1e-9)


def test_a_span_twice_the_overhang_fulfils_its_equation() -> None:
    from calcs.formulas import strength

    # with r = 2 the equation tan(u) (1 / 2u - cot(2u)) = 1 becomes tan(u)^2 + tan(u) / u = 3
    u = pi * math.sqrt(float(strength.overhang_end_factor(0.6, 0.3)))
    assert 0.9 < u < 0.91
    assert math.tan(u) ** 2 + math.tan(u) / u == pytest.approx(3.0, rel=1e-9)


def test_between_two_rows_the_form_factor_follows_one_over_the_teeth() -> None:
    from calcs.formulas import teeth

    # 25 teeth: (1/24 - 1/25) / (1/24 - 1/26) = 0.52 of the way from 0.337 to 0.346
    assert float(teeth.lewis_factor(25.0)) == pytest.approx(0.337 + 0.52 * 0.009, rel=1e-9)


@pytest.mark.parametrize("collar", [{}, {"collar_friction": 0.12}, {"collar_diameter_m": 0.03}])
def test_a_collar_brakes_only_with_both_its_friction_and_its_diameter(collar: dict[str, float]) -> None:
    from calcs.formulas import screw

    thread = (1000.0, D2, LEAD, FRICTION, FLANK)
    assert float(screw.raise_torque_nm(*thread, **collar)) == pytest.approx(2.0 / 0.97, rel=1e-12)
    assert float(screw.lower_torque_nm(*thread, **collar)) == pytest.approx(1.0 / 1.03, rel=1e-12)
