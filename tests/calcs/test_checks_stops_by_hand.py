"""Profile and stops called with plain numbers that can be done by hand."""

from __future__ import annotations

import math

import pytest
from hand import D2, FLANK, LEAD, PUSHED, UP, case, found, same

from calcs.case import LoadCase, Push
from calcs.checks import cycle, profile, stop_drive, stops
from calcs.checks.drive import AxialForces
from calcs.checks.motor import MotorLine
from calcs.checks.stop_drive import Slip
from geometry.units import Band, Span

G = 9.80665


def test_one_cycle_in_legs() -> None:
    # stroke 60 mm at 0.2 m/s with 0.8 m/s2: ramps of 0.25 s and 25 mm; 30 N over 20 and 5 N over 20 mm
    profiled = (0.0, 0.060, 0.2, 0.55, 0.8)
    parts = cycle.cycle_parts.function((UP,), (PUSHED,), same(61.0), *profiled)
    legs = profile.cycle_legs.function(parts)
    assert [(leg.force_n, pytest.approx(leg.way_m), pytest.approx(leg.time_s)) for leg in legs] == [
        (22.0, 0.005, 0.15),
        (27.0, 0.01, 0.05),
        (52.0, 0.01, 0.05),
        (57.0, 0.01, 0.05),
        (61.0, 0.025, 0.25),
        (18.0, 0.050, 0.5),
        (22.0, 0.010, 0.05),  # 40 N against 18 N of what drives
    ]
    assert profile.reached_m_s.function(0.01, 0.06, 0.5, 0.8) == pytest.approx(0.2)
    assert profile.move_s.function(0.01, 0.06, 0.5, 0.8) == pytest.approx(0.5)
    heavy = AxialForces("heavy", 50.0, same(2.0))
    both = cycle.cycle_parts.function((UP, heavy), (PUSHED, case()), same(61.0), *profiled)
    worst = profile.cycle_legs.function(both)
    assert [leg.force_n for leg in worst] == [52.0, 61.0, 48.0]
    cubes = (
        22.0**3 * 5 + 27.0**3 * 10 + 52.0**3 * 10 + 57.0**3 * 10 + 61.0**3 * 25 + 18.0**3 * 50 + 22.0**3 * 10
    )
    assert profile.equivalent_load_n.function(legs) == pytest.approx((cubes / 120.0) ** (1.0 / 3.0))
    square = 22.0**2 * 0.2 + (27.0**2 + 52.0**2 + 57.0**2) * 0.05 + 61.0**2 * 0.25 + 18.0**2 * 0.5
    assert found(profile.effective_force, legs, 2.2).value == pytest.approx(math.sqrt(square / 2.2))
    hurried = found(profile.effective_force, legs, 0.5)  # a cycle too short: all 1.1 s count
    assert hurried.value == pytest.approx(math.sqrt(square / 1.1))
    none_left = (legs[0]._replace(time_s=0.0), *legs[1:])
    assert found(profile.effective_force, none_left, 2.2).note.startswith(
        "27 N for 0.05 s extending against 5 N; "
    )
    assert hurried.note.startswith("22 N for 0.15 s extending; 27 N for 0.05 s extending against 5 N")


def test_what_the_balls_of_a_preloaded_nut_carry() -> None:
    legs = (cycle.Part("up", 212.132034355964, 1.0, 1.0), cycle.Part("down", 283.0, 3.0, 1.0))
    mean = ((231.503239718152**3 + 3.0 * 283.0**3) / 4.0) ** (1.0 / 3.0)
    assert profile.ball_load_n.function(legs, 100.0) == pytest.approx(mean)
    assert profile.ball_load_n.function(legs) == profile.equivalent_load_n.function(legs)


def test_what_wears_the_nut_on_average() -> None:
    # 22 N up and 18 N down; on 60 mm 30 N over 15, 5 N over 20, 40 N over 5 mm: 750 N mm on one way of two
    worn = profile.wearing_force_n.function((UP,), (PUSHED,), 0.005, 0.065)
    assert worn == pytest.approx(20.0 + (30.0 * 15.0 + 5.0 * 20.0 + 40.0 * 5.0) / 60.0 / 2.0)
    heavy = AxialForces("heavy", 50.0, same(2.0))
    assert profile.wearing_force_n.function((UP, heavy), (case(), case()), 0.0, 0.06) == 50.0
    beside = case("beside", 1.0, 0.0, Push(0.1, 0.2, 30.0))
    assert profile.wearing_force_n.function((UP,), (beside,), 0.0, 0.06) == 20.0


def test_speed_and_time_of_a_move() -> None:
    row = found(profile.peak_speed, 0.2, 0.8, 0.4)
    assert (row.verdict, row.note) == ("WARN", "triangular profile, ramps of 0.25 s")
    assert row.remedy.startswith("motion.acceleration of 3200 mm/s2")  # twice the speed: four times as much
    assert "of 7200 mm/s2" in found(profile.peak_speed, 0.2, 0.8, 0.6).remedy
    assert found(profile.peak_speed, 0.2, 0.8, 0.2).note == "trapezoidal profile, ramps of 0.25 s"
    for period, verdict in ((1.2, "PASS"), (0.99, "FAIL")):
        timed = found(profile.cycle_time, 0.5, period)
        assert (timed.verdict, timed.value) == (verdict, 1.0)
    assert timed.remedy == "motion.cycle_time of 1 s or more, or a higher speed"
    assert timed.note == "0.5 s a move, 100 % of the cycle"
    assert found(profile.cycle_time, 0.5, 4.0).note == "0.5 s a move, 25 % of the cycle"
    assert found(profile.cycle_time, 0.5).note == "0.5 s a move"
    # 4.5 m in 3 s of 6: 2.25 m/s at 2.25 m/s2; thirds: 2.25 m/s and 2.25 m/s2 as well
    row = found(profile.cycle_speed, 0.5, 5.0, 2.25, 6.0)
    assert row.value == pytest.approx(2.25)
    assert row.note.endswith("ramp: 2250 mm/s with 2250 mm/s2")
    never = found(profile.cycle_speed, 0.5, 5.0, 1.9, 6.0)
    assert (never.value, never.note.endswith("motion.acceleration of 2000 mm/s2 would do")) == (None, True)
    # 0.3 sqrt((1.5 - 0.5) / 4); 0.8 sqrt(0.6 / 3.2)
    row = found(profile.effective_speed, 0.3, 0.8, 1.5, 8.0)
    assert row.value == pytest.approx(0.15)
    assert row.note == f"of the acceleration {800.0 * math.sqrt(0.1875):.3g} mm/s2"
    short = found(profile.effective_speed, 0.3, 0.8, 1.5, 2.0)  # no rest: the period is the move
    assert short.value == pytest.approx(0.3 * math.sqrt(1.0 / 1.5))


DRIVE = stop_drive.StopDrive(LEAD, D2, FLANK, 4.0, 4e-6, 64e-6, 3.0)
SLIPS = (Slip(0.05), Slip(0.10), Slip(0.15))


def test_the_drive_as_it_hits_a_stop() -> None:
    # at 400 rad/s: 4e-6 * 16e4 / 2; the screw at 100 rad/s: 64e-6 * 1e4 / 2; the load at 50 mm/s
    assert DRIVE.energies_j(400.0) == pytest.approx((0.32, 0.32, 3.0 * 0.05**2 / 2.0))
    assert DRIVE.raising_nm(1000.0, Slip(0.15)) == pytest.approx(2.0 / 0.97)
    # 0.5 N*m * 4 * 0.75 = 1.5 at the screw
    assert DRIVE.push_n(0.5, Slip(0.15), 0.75) == pytest.approx(1.5 / 0.002 * 0.97)
    arriving = (0.32 * 0.75 + 0.32) * 0.2425 + 0.00375
    assert DRIVE.arriving_j(400.0, Slip(0.15), 0.75) == pytest.approx(arriving)
    hit = 727.5 + math.sqrt(727.5**2 + 2.0 * arriving * 1e6)
    assert DRIVE.impact_n(0.5, 400.0, Slip(0.15), 0.75, 1e6) == pytest.approx(hit)
    assert DRIVE.torque_for_impact_nm(hit, 400.0, Slip(0.15), 0.75, 1e6) == pytest.approx(0.5)
    # at rest friction is 4/3 of 0.15: tan(phi') = 0.4, tan(phi' - lambda) = 0.3 / 1.04; over 4 * 0.75
    assert DRIVE.release_nm(1000.0, Slip(0.15), 0.75) == pytest.approx(5.0 * 0.3 / 1.04 / 3.0)
    assert DRIVE.release_nm(1000.0, Slip(0.03), 0.75) == 0.0  # springs back by itself
    assert stop_drive.stop_force_limit_n.function(1000.0) == 500.0
    assert str(DRIVE) == "lead 3.14159 mm, 4:1, rotor 40 g*cm2"


def test_a_thrust_collar_rubs_at_the_stop_too() -> None:
    # 0.12 on 30 mm: 1.8 mN*m a newton beside 2 / 0.97; at rest 4/3 of it, 2.4, beside 5 * 0.3 / 1.04
    collared, slip = DRIVE._replace(collar_diameter_m=0.03), Slip(0.15, 0.12)
    per_newton = 0.002 / 0.97 + 0.0018
    assert collared.raising_nm(1000.0, slip) == pytest.approx(1000.0 * per_newton)
    assert collared.push_n(0.5, slip, 0.75) == pytest.approx(1.5 / per_newton)
    arriving = (0.32 * 0.75 + 0.32) * 0.0005 / per_newton + 0.00375  # lead / (2 pi) is 0.5 mm
    assert collared.arriving_j(400.0, slip, 0.75) == pytest.approx(arriving)
    assert collared.release_nm(1000.0, slip, 0.75) == pytest.approx((5.0 * 0.3 / 1.04 + 2.4) / 3.0)
    slips = stop_drive.stop_slips.function(Band(0.05, 0.10, 0.15), Band(0.08, 0.10, 0.12))
    assert slips == (Slip(0.05, 0.08), Slip(0.10, 0.10), Slip(0.15, 0.12))
    assert stop_drive.stop_slips.function(Band(0.05, 0.10, 0.15)) == SLIPS
    assert stop_drive.stop_drive.function(LEAD, D2, FLANK, 4.0, 4e-6, 64e-6, 3.0) == DRIVE
    assert stop_drive.stop_drive.function(LEAD, D2, FLANK, 4.0, 4e-6, 64e-6, 3.0, 0.03) == collared


def test_a_drag_counts_when_the_drive_is_to_come_free() -> None:
    # 1 N*m of drag over 4 * 0.75 on top, none of it in the push
    dragging = Slip(0.15, 0.0, 1.0)
    assert DRIVE.release_nm(1000.0, dragging, 0.75) == pytest.approx((5.0 * 0.3 / 1.04 + 1.0) / 3.0)
    assert DRIVE.push_n(0.5, dragging, 0.75) == DRIVE.push_n(0.5, Slip(0.15), 0.75)
    slips = stop_drive.stop_slips.function(Band(0.05, 0.10, 0.15), screw_drag_nm=Band(0.1, 0.2, 0.3))
    assert [slip.drag_nm for slip in slips] == [0.1, 0.2, 0.3]
    # what the full stall torque of 1 N*m can undo: (1 - 1 / 3) of the force
    cured = stops._curing_torque_nm(DRIVE, 0.0, dragging, 0.75, 1e6, 1.0)
    force = (1.0 - 1.0 / 3.0) * 3.0 / (0.005 * 0.3 / 1.04)
    assert DRIVE.impact_n(cured, 0.0, Slip(0.15), 0.75, 1e6) == pytest.approx(force)
    assert stops._curing_torque_nm(DRIVE, 0.0, dragging, 0.75, 1e6, 1.0 / 3.0) == math.inf


def test_a_motor_that_does_not_turn_pushes_nothing() -> None:
    assert DRIVE.push_n(-0.5, Slip(0.15), 0.75) == 0.0
    assert DRIVE.push_n(0.5, Slip(9.0), 0.75) == 0.0  # 87 degrees of friction and 6 of lead: locked


# 4 ohm, 0.05 N*m/A, 0.2 A no-load: 0.14 N*m at 12 V, 0.19 N*m at 16 V
LINE = MotorLine(4.0, 0.05, 0.2, Band(8.0, 12.0, 16.0))


def test_corners_of_an_impact() -> None:
    eta = Band(0.6, 0.75, 0.8)
    corners = stop_drive.impact_corners.function(DRIVE, LINE, LINE.supply_v, SLIPS, eta, 400.0, 1e6, -10.0)
    cold = LINE.torque_nm(16.0, 0.0, -10.0)
    wanted = [
        ("nominal", 0.14, 0.10, 0.75),
        ("friction 0.05", 0.14, 0.05, 0.75),
        ("friction 0.05, gear 0.8", 0.14, 0.05, 0.8),
        ("friction 0.05, gear 0.8, 16 V", 0.19, 0.05, 0.8),
        ("friction 0.05, gear 0.8, 16 V, winding -10 degC", cold, 0.05, 0.8),
        ("friction 0.15", 0.14, 0.15, 0.75),
        ("friction 0.15, gear 0.8", 0.14, 0.15, 0.8),
        ("friction 0.15, gear 0.8, 16 V", 0.19, 0.15, 0.8),
        ("friction 0.15, gear 0.8, 16 V, winding -10 degC", cold, 0.15, 0.8),
    ]
    assert [corner.name for corner in corners] == [name for name, *_ in wanted]
    for corner, (_, torque, mu, efficiency) in zip(corners, wanted, strict=True):
        assert corner.force_n == pytest.approx(DRIVE.impact_n(torque, 400.0, Slip(mu), efficiency, 1e6))
        assert corner.torque_nm == pytest.approx(DRIVE.raising_nm(corner.force_n, Slip(mu)))
    hot = stop_drive.impact_corners.function(DRIVE, LINE, LINE.supply_v, SLIPS, eta, 400.0, 1e6, 60.0)
    assert hot[4].force_n == hot[3].force_n  # no colder than the 25 degC of the data
    band = stop_drive.impact_n.function(corners)
    assert band == Band(corners[5].force_n, corners[0].force_n, corners[4].force_n)
    pushes = stop_drive.stall_push_n.function(DRIVE, LINE, LINE.supply_v, SLIPS, eta)
    stalled = ((0.15, 0.75), (0.10, 0.75), (0.05, 0.8))
    assert pushes == pytest.approx(
        Band(*(DRIVE.push_n(0.14, Slip(mu), efficiency) for mu, efficiency in stalled))
    )
    assert stop_drive.stop_line.function(LINE, 1.2).torque_nm(12.0) == pytest.approx(0.05)


def test_control_lost_runs_as_fast_as_the_steady_force_lets_it() -> None:
    eta = Band(0.6, 0.75, 0.8)
    hits = stop_drive.lost_control.function(DRIVE, LINE, LINE.supply_v, SLIPS, eta, same(50.0), 1e6)
    # 50 N at 0.15: 0.1 / 0.97 N*m over 4 * 0.8; (16 - (T / 0.05 + 0.2) 4) / 0.05
    shaft = 0.1 / 0.97 / 3.2
    speed = (16.0 - (shaft / 0.05 + 0.2) * 4.0) / 0.05
    assert hits[2].motor_rad_s == pytest.approx(speed)
    assert hits[2].force_n == pytest.approx(DRIVE.impact_n(0.19, speed, Slip(0.15), 0.8, 1e6))
    assert [hit.name for hit in hits] == ["friction 0.05", "friction 0.1", "friction 0.15"]
    stuck = stop_drive.lost_control.function(DRIVE, LINE, LINE.supply_v, SLIPS, eta, same(1e5), 1e6)
    assert [hit.motor_rad_s for hit in stuck] == [0.0, 0.0, 0.0]


def test_the_coldest_of_the_load_cases() -> None:
    cold = LoadCase("cold", 1.0, 0.0, (), Span(-10.0, 40.0), "")
    mild = LoadCase("mild", 1.0, 0.0, (), Span(5.0, 30.0), "")
    assert stop_drive.coldest_ambient_c.function((case(), cold, mild)) == -10.0
    assert stop_drive.coldest_ambient_c.function((case(),)) == 25.0
