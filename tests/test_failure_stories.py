"""What a designer gets wrong, and what the command answers: each story names the number and the way out.

The stories are those that designers of such drives tell; every one is run as a user would run it.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from exports import command
from exports.demo import FIRST, demo_texts, housing_step
from exports.stl import write_stl
from geometry.bodies import Box, Shape
from geometry.meshes import Mesh, mesh_of, moved

Answer = tuple[int, str]


class Desk:
    """A folder with the demo's first design, changed by a story, and the command to ask."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder, self.capsys = folder, capsys

    def ask(self, verb: str, *changes: tuple[str, str], end: str = "", only: str = "") -> Answer:
        text = demo_texts()[FIRST]
        for old, new in changes:
            assert old in text, old
            text = text.replace(old, new)
        if only:
            text = only
        design = self.folder / "story.toml"
        design.write_text(text + end, encoding="utf-8")
        status = command._status([verb, str(design)])
        out, err = self.capsys.readouterr()
        assert "Traceback" not in out + err
        return status, " ".join((out + err).split())

    def ask_with_housing(self, file: str, *lines: str) -> Answer:
        head, _, rest = demo_texts()[FIRST].partition("[[housing.body]]")
        housing = "\n".join(("[housing]", f'file = "{file}"', *lines, ""))
        tail = rest[rest.index('[[contact]]\na = "nut"') :]  # the contacts with walls go with the walls
        return self.ask("fit", only=f"{head}{housing}\n{tail}")


@pytest.fixture
def desk(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Desk:
    return Desk(tmp_path, capsys)


def hollow(scale: float = 1.0, shift: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Mesh:
    """A closed box around the actuator, as a mesh."""
    walls = Shape(
        (Box((-24.0, -28.0, -78.0), (24.0, 21.0, 122.0)),), (Box((-20.0, -24.0, -76.0), (20.0, 30.0, 120.0)),)
    )
    mesh = moved(mesh_of(walls), shift)
    return Mesh(mesh.vertices * scale, mesh.triangles, 0.0)


def test_01_inches_per_second_typed_for_millimetres(desk: Desk) -> None:
    status, text = desk.ask("check", ('speed = "25 mm/s"', 'speed = "25 in/s"'))
    assert status == 1
    for said in ("635 mm/s with lead 1.5 mm = 25400 screw rpm", "101600 motor rpm", "did you mean 25 mm/s?"):
        assert said in text


def test_02_an_stl_in_inches_is_never_scaled(desk: Desk) -> None:
    write_stl(desk.folder / "housing.stl", hollow(1 / 25.4))
    status, text = desk.ask_with_housing("housing.stl", 'unit = "mm"')
    assert status == 2
    for said in ("declared unit mm", "x25.4", 'unit = "inch"', "Nothing was scaled"):
        assert said in text
    assert desk.ask_with_housing("housing.stl", 'unit = "inch"')[0] != 2


def test_03_the_nut_faces_the_wrong_way(desk: Desk) -> None:
    status, text = desk.ask("fit", ("away from motor", "toward motor"))
    assert status == 1
    for said in (
        "flange faces the motor",
        "12 mm lower",
        "arm/sill_low",
        'flange = "away from motor"',
        "0.70 mm",
    ):
        assert said in text


def test_04_the_thread_is_too_short_for_the_nut(desk: Desk) -> None:
    status, text = desk.ask(
        "check",
        ('length = "96 mm"', 'length = "93 mm"'),
        (
            'near_journal = { diameter = "5 mm", length = "8 mm" }',
            'near_journal = { diameter = "5 mm", length = "11 mm" }',
        ),
    )
    assert status == 1
    for said in (
        "at s = -4 mm the nut runs 1 mm off it",
        "2.5 mm more thread at that end",
        "the stop at s = -1.5 mm",
    ):
        assert said in text


def test_05_a_ratio_that_no_teeth_give(desk: Desk) -> None:
    status, text = desk.ask("check", ("ring = 36", "ring = 38"))
    assert status == 1
    assert "ring = sun + 2 planet: 38 is not 12 + 2 x 12 = 36" in text
    assert "(12 + 38) / 3 = 16.6667, not an integer" in text


def test_06_an_open_housing_decides_nothing(desk: Desk) -> None:
    shell = hollow()
    write_stl(desk.folder / "housing.stl", Mesh(shell.vertices, shell.triangles[1:], 0.0))
    status, text = desk.ask_with_housing("housing.stl", 'unit = "mm"')
    assert status == 4
    assert "NOT CHECKED" in text
    assert "free edges" in text
    assert "housing" in text


def test_07_pitch_taken_for_lead(desk: Desk) -> None:
    status, text = desk.ask("check", ('thread = "Tr8x1.5"', 'thread = "Tr8x8(P2)"\nlead = "2 mm"'))
    assert status == 2
    for said in ("4 starts", "lead 8 mm", "187.5 rpm of the screw, not 750"):
        assert said in text


def test_08_a_clash_between_two_samples(desk: Desk) -> None:
    status, text = desk.ask("fit", ("-20..-18.7 mm", "-20..-17.6 mm"))
    assert status == 1
    for said in (
        "flag / rib travel -0.400",
        "27 .. 29.2",
        "cut rib 0.9 mm along x",
        "use s in [-4, 26.5] or [29.7, 64] mm",
    ):
        assert said in text


def test_09_holding_under_vibration_is_not_proven(desk: Desk) -> None:
    status, text = desk.ask(
        "check", ('ambient = "5..35 degC"', 'ambient = "5..35 degC"\nvibration = "transport"')
    )
    assert status == 0
    holding = text[text.index("drive.holding") :][:900]
    assert "Not proven" in text
    assert "0.0636" in holding
    assert "transport" in holding


def test_10_a_long_screw_whips(desk: Desk) -> None:
    status, text = desk.ask(
        "check", ('far = "supported"', 'far = "free"'), ('length = "96 mm"', 'length = "900 mm"')
    )
    assert status == 1
    for said in ("fixed-free", "critical at", "a bearing at the far end", "a longer lead"):
        assert said in text


def test_11_a_housing_from_the_machine_s_origin(desk: Desk) -> None:
    write_stl(desk.folder / "housing.stl", hollow(shift=(0.0, 300.0, 0.0)))
    status, text = desk.ask_with_housing("housing.stl", 'unit = "mm"')
    assert status == 2
    for said in ("all of the actuator is outside the bounding box", "in y", "origin"):
        assert said in text


def test_13_everything_declared_a_contact_is_said(desk: Desk) -> None:
    names = ("nut", "carriage", "arm", "guide_block", "flag")
    others = ("pcb", "back_wall", "left_wall", "right_wall", "front_left", "front_right", "sill_low", "rib")
    contacts = "".join(f'\n[[contact]]\na = "{a}"\nb = "{b}"\n' for a in names for b in others)
    _, text = desk.ask("fit", end=contacts)
    assert "declared contacts" in text
    assert "above 10%" in text


def test_14_a_mass_is_no_force_and_a_torque_has_a_size(desk: Desk) -> None:
    status, text = desk.ask("check", ('force = "8 N"', 'force = "0.45 kg"'))
    assert status == 2
    assert "is a mass (it weighs 4.413 N), a force is expected" in text
    _, text = desk.ask("check", ("11.4 mN*m/A", "11.4 N*m/A"))
    assert "from 16 mm diameter" in text
    assert "times typical for that volume" in text


def test_15_a_damaged_step_file_is_refused(desk: Desk) -> None:
    (desk.folder / "housing.step").write_bytes(housing_step()[:4000])
    status, text = desk.ask_with_housing("housing.step")
    assert status == 2
    assert "housing.step" in text


def test_16_a_buried_cube_and_a_part_through_a_wall(desk: Desk) -> None:
    cube = '\n[[moving]]\nname = "cube"\nbox = ["20..24 mm", "-2..2 mm", "20..24 mm"]\nmass = "1 g"\n'
    thick = (
        'box = ["20..24 mm", "-24..18 mm", "-74..118 mm"]',
        'box = ["16..40 mm", "-24..18 mm", "-74..118 mm"]',
    )
    status, text = desk.ask("fit", thick, end=cube)
    assert status == 1
    assert "FAIL cube / right_wall" in text
    status, text = desk.ask(
        "fit",
        (
            'box = ["-24..24 mm", "-28..21 mm", "-78..-74 mm"]',
            'box = ["-24..24 mm", "-28..21 mm", "-78..-40 mm"]',
        ),
    )
    assert status == 1
    assert "FAIL motor / floor static" in text


def test_a_mesh_that_is_not_finite_never_reaches_a_verdict(desk: Desk) -> None:
    data = bytearray((80).to_bytes(1, "little") * 80 + (1).to_bytes(4, "little") + bytes(50))
    data[84 + 12 : 84 + 16] = np.float32(np.nan).tobytes()
    (desk.folder / "housing.stl").write_bytes(bytes(data))
    status, text = desk.ask_with_housing("housing.stl", 'unit = "mm"')
    assert status == 2
    assert "housing.stl" in text
