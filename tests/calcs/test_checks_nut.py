"""Ball nuts, preload and springs, anti-rotation, materials and the thread turn by turn, on variants."""

from __future__ import annotations

import math

import pytest
from demo_rows import changed, given, rows

from calcs.formulas import ball, screw
from geometry.units import Band

BALLS = (
    ("Tr8x1.5", "Ball8x2"),
    ('friction = "0.08..0.15..0.20"', 'friction = "0.003..0.005..0.010"'),
)


def balls(line: str) -> tuple[str, str]:
    return given("nut", f"balls = {{ {line} }}")


def test_a_ball_screw_that_is_asked_to_hold_says_what_it_needs() -> None:
    row = rows(*BALLS, balls('dynamic_load = "1 kN"'))["drive.holding"]
    assert row.verdict == "FAIL"
    assert "a ball screw does not hold by friction: it needs a [brake]" in row.note
    found = rows(*BALLS, balls('dynamic_load = "1 kN"'))
    assert found["drive.back_efficiency"].note == "the load drives the screw"
    assert found["drive.back_efficiency"].cautions[0].startswith("The load can fall")
    pulled, eta = (
        0.450 * 9.80665 + 8.0,
        found["drive.back_efficiency"].value.high,
    )  # the clips pull with the weight
    turned = pulled * 2.0 * eta / (2 * math.pi)
    assert found["drive.back_torque"].value.high == pytest.approx(turned)
    assert found["drive.back_torque"].note.startswith(f"at the motor up to {turned / 4.0:.3g} mN*m")


def test_life_of_a_ball_nut_needs_its_rating() -> None:
    load = changed(*BALLS).find("equivalent_load_n")
    assert load is not None
    row = rows(*BALLS, balls('dynamic_load = "1 kN", load_factor = 1.5'))["life.balls"]
    assert row.verdict == "PASS"
    assert row.value == pytest.approx((1000.0 / (1.5 * load.value)) ** 3 * 1e6)
    assert row.limit == pytest.approx(500_000 * 2 * 60 / 2)
    weak = rows(*BALLS, balls('dynamic_load = "20 N"'))["life.balls"]
    assert weak.verdict == "FAIL"
    rating = float(ball.dynamic_load_n(load.value, 30e6, 1.2))
    assert weak.remedy == f"nut.balls.dynamic_load of {rating:.4g} N"
    pressed = rows(*BALLS, balls('dynamic_load = "1 kN", preload = "100 N"'))["life.balls"]
    # light legs lift the preload of 100 N by three halves of their share of 282.84 N
    legs = changed(*BALLS).find("cycle_legs").value
    cubes = sum((100.0 * (1.0 + leg.force_n / 282.84271) ** 1.5) ** 3 * leg.way_m for leg in legs)
    held = (cubes / sum(leg.way_m for leg in legs)) ** (1.0 / 3.0)
    assert f"equivalent load {held:.3g} N" in pressed.note
    assert pressed.value == pytest.approx((1000.0 / (1.2 * held)) ** 3 * 1e6)
    no_cycles = rows(*BALLS, balls('dynamic_load = "1 kN"'), ("cycles = 500000", "#"))["life.balls"]
    assert (no_cycles.verdict, no_cycles.remedy) == ("NOT CHECKED", "give motion.cycles")


@pytest.mark.parametrize(("static", "verdict"), [("5 kN", "PASS"), ("0.1 kN", "FAIL")])
def test_static_safety_counts_the_impact_at_the_stop(static: str, verdict: str) -> None:
    found = rows(*BALLS, balls(f'dynamic_load = "1 kN", static_load = "{static}"'))
    row = found["life.balls_static"]
    assert row.verdict == verdict
    highest = max(found["stops.impact"].value.high, found["stops.slow_stall"].value.high)
    assert row.value == pytest.approx(float(static.split()[0]) * 1e3 / highest)
    assert row.limit == 2.0


@pytest.mark.parametrize(("preload", "verdict"), [("6 N", "PASS"), ("5 N", "WARN")])
def test_a_preload_lifts_off_at_2_83_times_itself(preload: str, verdict: str) -> None:
    row = rows(*BALLS, balls(f'dynamic_load = "1 kN", preload = "{preload}"'))["life.balls_preload"]
    assert row.verdict == verdict
    assert row.limit == pytest.approx(2.0**1.5 * float(preload.split()[0]))
    assert row.value == pytest.approx(14.737, rel=1e-3)


def test_without_preload_the_nut_has_its_play() -> None:
    row = rows(*BALLS, balls('dynamic_load = "1 kN"'))["life.balls_preload"]
    assert (row.verdict, row.note) == ("INFO", "no nut.balls.preload: the nut has its play")


@pytest.mark.parametrize(
    ("line", "value", "verdict"), [("", 6000.0, "PASS"), ("speed_value = 5000", 6000.0, "FAIL")]
)
def test_ball_circle_times_speed(line: str, value: float, verdict: str) -> None:
    # 25 mm/s at a lead of 2 mm is 750 rpm on a circle of 8 mm
    row = rows(*BALLS, balls(f'dynamic_load = "1 kN", circle = "8 mm"{", " * bool(line)}{line}'))[
        "life.balls_speed"
    ]
    assert (row.verdict, row.value) == (verdict, pytest.approx(value))


PLAY = given("nut", 'play = "0.2 mm"')
FLAT = ("up = [0, 0, 1]", "up = [0, 1, 0]")


def test_what_seats_the_nut_and_what_does_not() -> None:
    assert rows(PLAY)["gearing.lost_motion"].note == "the weight keeps the nut seated"
    loose = rows(PLAY, FLAT)
    assert loose["gearing.lost_motion"].value == pytest.approx(206.25)
    assert loose["gearing.lost_motion"].verdict == "FAIL"
    assert rows(PLAY)["gearing.lost_motion_loose"].value == pytest.approx(206.25)
    weak = rows(given("nut", 'play = "0.2 mm"', 'spring = "5 N"'), FLAT)["gearing.lost_motion"]
    assert weak.value == pytest.approx(206.25)
    assert weak.note.startswith("the nut's own play counts; spring and preload act in the nut")
    strong = rows(given("nut", 'play = "0.2 mm"', 'spring = "20 N"'), FLAT)["gearing.lost_motion"]
    # what a spring leaves: the backlash of the gear
    assert (strong.verdict, strong.value) == ("PASS", pytest.approx(6.25))
    assert strong.note == (
        "the spring keeps the nut seated; spring and preload act in the nut: "
        "the backlash of gear and coupling stays"
    )
    preloaded = rows(PLAY, FLAT, *BALLS[:1], balls('dynamic_load = "1 kN", preload = "10 N"'))
    assert preloaded["gearing.lost_motion"].note.startswith("the preload keeps the nut seated")


def test_drag_of_spring_preload_or_as_given_is_part_of_the_torque() -> None:
    plain = rows()["drive.raise_torque"].value.nominal
    sprung = rows(given("nut", 'spring = "20 N"'))
    low, drag, high = (
        1e3 * float(screw.spring_drag_nm(20.0, 0.0015, 0.00725, mu, math.radians(15.0)))
        for mu in (0.08, 0.15, 0.20)
    )
    assert sprung["drive.preload_drag"].value == pytest.approx(Band(low, drag, high))
    assert sprung["drive.raise_torque"].value.nominal == pytest.approx(plain + drag)
    assert sprung["motor.effective_current"].value > rows()["motor.effective_current"].value
    typed = rows(given("nut", 'drag = "3 mN*m"', 'spring = "20 N"'))["drive.preload_drag"]
    assert (typed.value, typed.note) == (pytest.approx(3.0), f"{300 / (plain + 3):.0f} % of the screw torque")
    pressed = rows(*BALLS, balls('dynamic_load = "1 kN", preload = "50 N", circle = "8 mm"'))
    by_hand = 0.05 * 50.0 * 2.0 / (2 * math.pi * math.sqrt(2.0 / (math.pi * 8.0)))
    assert pressed["drive.preload_drag"].value == pytest.approx(by_hand)


def test_a_lip_on_the_screw_drags_too() -> None:
    lip = '[seal]\nkind = "lip"\ndiameter = "16 mm"\nbore = "8 mm"\nlength = "4 mm"\n'
    seal = f'{lip}drag = "2 mN*m"\n\n[stops]\n'
    sealed = rows(("[stops]\n", seal))
    assert sealed["drive.preload_drag"].value == pytest.approx(2.0)
    gain = sealed["drive.raise_torque"].value.nominal - rows()["drive.raise_torque"].value.nominal
    assert gain == pytest.approx(2.0)
    both = rows(("[stops]\n", seal), given("nut", 'drag = "3 mN*m"'))
    assert both["drive.preload_drag"].value == pytest.approx(5.0)


def test_what_keeps_the_nut_from_turning_rubs_too() -> None:
    arm = ('arm = "48 mm"', 'arm = "48 mm"\nreaction_arm = "6 mm"\nside_limit = "3 N"')
    plain = (('kind = "ball"\nfriction = 0.01', 'kind = "plain"\nfriction = 0.2'), arm)
    row = rows(*plain)["guide.anti_rotation"]
    per_force = 0.00725 / 2 * math.tan(math.radians(3.7679) + math.atan(0.15 / math.cos(math.radians(15.0))))
    factor = 1.0 / (1.0 - 2.0 * 0.2 * per_force / 0.006)
    assert f"makes the torque {factor:.4g} times as large" in row.note
    assert row.value.nominal == pytest.approx(rows(*plain)["drive.raise_torque"].value.nominal / 6.0)
    assert row.verdict == "FAIL"
    free = rows(('arm = "48 mm"', 'arm = "48 mm"\nreaction_arm = "21 mm"'))["guide.anti_rotation"]
    assert free.verdict == "INFO"


def test_a_drive_that_its_guide_locks_has_no_finite_torque() -> None:
    assert screw.anti_rotation_factor(0.01, 0.5, 0.01) == math.inf
    locked = rows(
        ('kind = "ball"\nfriction = 0.01', 'kind = "plain"\nfriction = "0.1..0.2..0.5"'),
        ('arm = "48 mm"', 'arm = "48 mm"\nreaction_arm = "0.8 mm"'),
    )
    assert locked["drive.raise_torque"].value is None
    assert locked["motor.dynamic_margin.friction"].verdict == "FAIL"
    assert locked["stops.jam_release"].remedy.endswith("the work itself locks the drive")


def test_the_guide_carries_side_load_and_moment() -> None:
    lines = ('arm = "48 mm"', 'arm = "48 mm"\nside_limit = "5 N"\nmoment_limit = "0.2 N*m"')
    upright, flat = rows(lines), rows(lines, FLAT)
    assert (upright["guide.side_load"].verdict, upright["guide.side_load"].value) == ("PASS", 0.0)
    assert flat["guide.side_load"].value == pytest.approx(4.413, rel=1e-3)
    assert upright["guide.moment"].value == pytest.approx(0.450 * (9.80665 + 0.25) * 0.048)
    assert upright["guide.moment"].verdict == "FAIL"
    assert flat["guide.nut_load"].verdict == "PASS"
    start = '[guide]\nkind = "ball"\nfriction = 0.01\nlength = "20 mm"\narm = "48 mm"'
    bare = rows((start, "[guide]"), ('drag = "2.0 N"', "#"), FLAT)["guide.nut_load"]
    assert bare.verdict == "PASS"  # there is a guide, of which nothing is known


def test_without_a_guide_the_nut_is_warned_about() -> None:
    import demo_rows

    section = demo_rows.DEMO[demo_rows.DEMO.index("[guide]") : demo_rows.DEMO.index("[stops]")]
    row = rows((section, ""), FLAT)["guide.nut_load"]
    assert (row.verdict, row.value) == ("WARN", pytest.approx(4.413, rel=1e-3))
    assert rows((section, ""))["guide.nut_load"].verdict == "INFO"  # upright there is no side load
    assert row.cautions == ("Without a [guide] the nut carries what it must not",)


@pytest.mark.parametrize(
    ("friction", "words"),
    [("0.08..0.15..0.20", "the thread holds"), ("0.05..0.15..0.20", "holds at high friction only")],
)
def test_driving_back(friction: str, words: str) -> None:
    found = rows(("0.08..0.15..0.20", friction))
    assert found["drive.back_efficiency"].note == words


@pytest.mark.parametrize(("torque", "verdict"), [("5 mN*m", "PASS"), ("0.01 mN*m", "FAIL")])
def test_a_detent_holds_like_a_brake(torque: str, verdict: str) -> None:
    found = rows(("Tr8x1.5", "Tr8x8(P2)"), given("motor", f'detent_torque = "{torque}"'))
    row = found["drive.detent"]
    assert row.verdict == verdict
    # 1.5 times what the weight turns the motor's shaft with
    assert row.limit == pytest.approx(1.5 * found["drive.back_torque"].value.high / 4.0)
    assert row.cautions[0].startswith("The load can fall")


def test_a_coupling_has_its_torque() -> None:
    lines = ("[stops]\n", '[coupling]\ntorque = "10 mN*m"\ninertia = "0.1 g*cm2"\n\n[stops]\n')
    assert rows(lines)["drive.coupling"].verdict == "FAIL"
    assert rows((lines[0], lines[1].replace("10 m", "20 m")))["drive.coupling"].verdict == "PASS"


BRONZE = ('material = "POM"', 'material = "bronze"')
STRONG = given("screw", 'strength = "350 MPa"')


def test_metal_turns_share_unevenly_and_plastic_ones_evenly() -> None:
    assert rows()["strength.first_turn_pressure"].note.startswith("0.09 of the force")
    metal = rows(BRONZE, ("area_factor = 0.5", "#"))["strength.first_turn_pressure"]
    assert metal.note.startswith("0.38 of the force")
    assert metal.value == pytest.approx(0.38 * 14.737316 / (math.pi * 7.25 * 0.75))


def test_thread_stresses_under_the_stalled_motor() -> None:
    found = rows(BRONZE, STRONG, given("nut", 'strength = "150 MPa"'))
    push, turn = 94.5242003, 0.38 * 94.5242003
    bending = 6.0 * turn / (math.pi * 6.2 * 1.5)
    assert found["strength.first_turn_bending"].value == pytest.approx(bending)
    assert found["strength.thread_shear"].value == pytest.approx(bending / 2.0)
    assert found["strength.thread_shear"].limit == pytest.approx(0.577 * 350.0 / 3.0)
    impact = found["stops.impact"].value.high
    assert found["strength.nut_shear"].value == pytest.approx(3.0 * 0.38 * impact / (math.pi * 8.0 * 1.5))
    axial = 4.0 * push / (math.pi * 6.2**2)
    torsion = 16.0 * 14.229 * 4.0 * 0.90 / (math.pi * 6.2**3)
    whole = math.sqrt(bending**2 + bending * axial + axial**2 + 3.0 * torsion**2)
    assert found["strength.thread_combined"].value == pytest.approx(whole, rel=1e-3)
    for name in ("first_turn_bending", "thread_shear", "nut_shear", "thread_combined"):
        assert found[f"strength.{name}"].verdict == "PASS"
    weak = rows(BRONZE, given("screw", 'strength = "3 MPa"'), given("nut", 'strength = "3 MPa"'))
    for name in ("first_turn_bending", "thread_shear", "nut_shear", "thread_combined"):
        assert weak[f"strength.{name}"].verdict == "FAIL"


@pytest.mark.parametrize(("near", "verdict"), [("0 mm", "PASS"), ("-250 mm", "WARN"), ("-400 mm", "FAIL")])
def test_slenderness(near: str, verdict: str) -> None:
    assert (
        rows(('near_bearing = "0 mm"', f'near_bearing = "{near}"'))["strength.slenderness"].verdict == verdict
    )


def test_a_free_far_end_counts_to_the_screws_end() -> None:
    row = rows(('far_bearing = "110.5 mm"', "#"))["strength.slenderness"]
    assert row.value == pytest.approx(113.0 / 8.0)


@pytest.mark.parametrize(
    ("material", "ambient", "pressure", "temperature"),
    [
        ("POM", "5..35 degC", "PASS", "PASS"),
        ("POM", "5..105 degC", "FAIL", "FAIL"),
        ("bronze", "5..105 degC", "PASS", "PASS"),
    ],
)
def test_limits_of_the_nuts_material_fall_with_temperature(
    material: str, ambient: str, pressure: str, temperature: str
) -> None:
    found = rows(('material = "POM"', f'material = "{material}"'), ("5..35 degC", ambient))
    assert found["life.material_pressure"].verdict == pressure
    assert found["life.material_temperature"].verdict == temperature


def test_a_plastic_loses_its_pressure_straight_to_its_hottest() -> None:
    row = rows()["life.material_pressure"]
    assert row.limit == pytest.approx(10.0 * (100.0 - 35.0) / 80.0)
    cool = rows(("5..35 degC", "5..15 degC"))["life.material_pressure"]
    assert cool.limit == pytest.approx(10.0)


def test_speed_and_pv_of_the_table_warn() -> None:
    fast = rows(('material = "POM"', 'material = "PTFE"'), ('speed = "25 mm/s"', 'speed = "100 mm/s"'))
    assert fast["life.material_speed"].verdict == "WARN"
    assert fast["life.material_pv"].verdict == "PASS"
    assert rows(('speed = "25 mm/s"', 'speed = "100 mm/s"'))["life.material_pv"].verdict == "WARN"


@pytest.mark.parametrize("material", ["brass", "unobtainium"])
def test_a_material_without_a_table_is_not_checked(material: str) -> None:
    row = rows(('material = "POM"', f'material = "{material}"'))["life.material_pressure"]
    assert (row.verdict, row.counts) == ("NOT CHECKED", False)
    assert row.note.startswith("needs ")


def test_a_replaced_limit_stands_for_both_ends_of_the_table() -> None:
    text = '[limits]\n"life.material_pressure" = { limit = "0.1 MPa", reason = "x" }\n[print]\n'
    assert rows(("[print]\n", text))["life.material_pressure"].verdict == "FAIL"
