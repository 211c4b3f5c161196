import hashlib
import json
import math
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pydantic
import pytest

from geometry.bodies import Box, Cylinder, FileShape, Shape
from geometry.design import Design, design_schema, nearest, read, read_text
from geometry.design_bodies import shape_of
from geometry.design_schema import all_sections, essential_lines, marker
from geometry.errors import InputError
from geometry.units import Band, Measure, Span, Toleranced

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "exports/demo/vial-lift.toml"
BAD = ROOT / "tests/designs/bad"
TEN_LINES = "\n".join(essential_lines(Design))


def body(text: str) -> Design:
    return read_text(f'{TEN_LINES}\n[[moving]]\nname = "a"\n{text}')


def problems(text: str) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_text(text)
    return [str(problem) for problem in caught.value.problems]


# What is read


def test_the_demo_reads_into_mm_and_si() -> None:
    design = read(DEMO)
    assert design.motion.stroke == Span(0, 60)
    assert design.motion.hard_stops == Span(-4, 64)
    assert design.motion.speed == 25
    assert design.load_case[0].forces[0].force == 8
    assert design.load_case[0].ambient == Span(5, 35)
    assert design.screw.inertia == 2.536e-7
    assert design.nut.friction == Band(0.08, 0.15, 0.2)
    assert design.nut.pressure_limit == 5e6
    assert design.nut.wear_coefficient == Span(1e-15, 1e-14)
    assert design.guide.friction == Band(0.01, 0.01, 0.01)
    assert design.stops.stiffness == 200_000
    assert design.gears is not None
    assert design.gears.backlash == 1.5
    assert design.gears.stage[0].module == 0.3
    assert design.motor is not None
    assert design.motor.torque_constant == 0.0114
    assert design.motor.encoder is not None
    assert design.motor.encoder.counts == 64
    assert design.supply.voltage == Band(10.8, 12, 13.2)
    assert design.service.cable is not None
    assert design.service.cable.direction == (0, 0, -1)
    assert [one.name for one in design.moving] == ["carriage", "arm", "guide_block", "flag"]
    assert len(design.housing.body) == 12
    assert design.contact[5].travel == Span(-4, -3.5)
    assert design.tolerance is not None
    assert design.tolerance.links[0].length == Toleranced(108, 0.2, -0.2)


def test_ten_lines_are_enough() -> None:
    design = read_text(TEN_LINES)
    assert len(TEN_LINES.splitlines()) == 10
    assert design.motor is None
    assert design.clearance.moving_to_electronics == 2
    assert design.title == "design"


def test_a_design_says_what_was_given_and_where() -> None:
    design = read(DEMO)
    assert {"motion.speed", "gears.stage[0].sun", "moving[3].box[2]", "screw.near_journal"} <= design.given
    assert not {"motion.repeatability", "clearance.fixed_to_fixed", "coupling"} & design.given
    assert design.given_sections[:3] == ("document", "motion", "load_case")
    lines = DEMO.read_text(encoding="utf-8").splitlines()
    for field, text in (
        ("motion.speed", "speed"),
        ("moving[3].box[2]", '"3..4 mm"'),
        ("contact[5]", "[[contact]]"),
    ):
        line, column = design.place(field)
        assert lines[line - 1][column - 1 :].startswith(text)
    assert design.place("moving[3].material") == design.place("moving[3]")
    assert design.place("coupling.diameter") == (1, 1)


def test_a_design_and_its_sections_cannot_be_changed() -> None:
    design = read_text(TEN_LINES)
    with pytest.raises(pydantic.ValidationError):
        design.motion.speed = 3.0  # type: ignore[misc] # that it is refused is the point
    with pytest.raises(pydantic.ValidationError):
        design.motor = None  # type: ignore[misc] # the same


def test_the_hash_covers_the_text_and_every_file_it_names(tmp_path: Path) -> None:
    text = f'{TEN_LINES}\nshape = "nut.step"\n[housing]\nfile = "parts/box.stl"\nunit = "inch"'
    (tmp_path / "parts").mkdir()
    (tmp_path / "nut.step").write_bytes(b"nut")
    (tmp_path / "parts/box.stl").write_bytes(b"box")
    file = tmp_path / "lift.toml"
    file.write_text(text, encoding="utf-8")
    first = read(file)
    assert first.files == ("nut.step", "parts/box.stl")
    assert first.folder == tmp_path
    assert first.title == "lift"
    assert read(file).sha256 == first.sha256
    (tmp_path / "parts/box.stl").write_bytes(b"BOX")
    second = read(file)
    file.write_text(text + "\n", encoding="utf-8")
    assert len({first.sha256, second.sha256, read(file).sha256}) == 3


def test_without_files_the_hash_is_the_texts_own(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_bytes(TEN_LINES.encode())
    assert read(file).sha256 == hashlib.sha256(TEN_LINES.encode()).hexdigest()


def test_a_byte_order_mark_is_no_part_of_the_text(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_bytes(b"\xef\xbb\xbf" + TEN_LINES.encode())
    assert read(file).motion.speed == 25


def test_dates_are_kept_as_typed() -> None:
    assert read_text(f"{TEN_LINES}\n[document]\ndate = 2026-03-02").document.date == "2026-03-02"


@pytest.mark.parametrize("key", ['"drive.holding"', "drive.holding"])
def test_a_limit_is_named_by_its_checks_id_with_or_without_quotes(key: str) -> None:
    design = read_text(f'{TEN_LINES}\n[limits]\n{key} = {{ limit = 1.3, reason = "bench test" }}')
    assert design.limits["drive.holding"].limit == Measure(1.3, "")
    assert "limits.drive.holding.reason" in design.given
    assert design.place("limits.drive.holding.limit") == (12, len(key) + 6)


def test_a_limit_may_have_a_unit() -> None:
    design = read_text(f'{TEN_LINES}\n[limits]\n"a.b" = {{ limit = "0.4 mm", reason = "r" }}')
    assert design.limits["a.b"].limit == Measure(0.4, "mm")


def test_directions_become_unit_vectors() -> None:
    design = read_text(f'{TEN_LINES}\n[[load_case]]\nname = "tilted"\nup = [0, 3, 4]')
    assert design.load_case[0].up == pytest.approx((0, 0.6, 0.8), rel=1e-15)


# Shapes


def test_a_box_its_bore_in_its_middle_or_where_it_is_said() -> None:
    box = 'box = ["-20..20 mm", "-24..18 mm", "0..5 mm"]\n'
    whole = Box((-20, -24, 0), (20, 18, 5))
    assert shape_of(body(box).moving[0]) == Shape((whole,))
    middle = shape_of(body(f'{box}bore = {{ diameter = "10 mm" }}').moving[0])
    assert middle == Shape((whole,), (Cylinder("z", (0, -3), 5, (0, 5)),))
    said = shape_of(
        body(f'{box}bore = {{ diameter = "4 mm", along = "x", centre = ["1 mm", "2.5 mm"] }}').moving[0]
    )
    assert said == Shape((whole,), (Cylinder("x", (1, 2.5), 2, (-20, 20)),))


def test_cylinder_tube_and_file() -> None:
    rod = 'diameter = "12 mm", span = "0..30 mm"'
    assert shape_of(body(f"cylinder = {{ {rod} }}").moving[0]) == Shape((Cylinder("z", (0, 0), 6, (0, 30)),))
    tube = body(f'tube = {{ along = "y", centre = ["1 mm", "2 mm"], {rod}, bore = "8 mm" }}').moving[0]
    outer, inner = (Cylinder("y", (1, 2), radius, (0, 30)) for radius in (6, 4))
    assert shape_of(tube) == Shape((outer,), (inner,))
    file = body('file = "a.stl"\nunit = "inch"\nframe = { origin = ["1 mm", "0 mm", "1 in"] }').moving[0]
    assert shape_of(file) == FileShape("a.stl", "inch", "", (1, 0, 25.4), False)


# What is refused


@pytest.mark.parametrize("file", sorted(BAD.glob("*.toml")), ids=lambda file: file.stem)
def test_a_bad_file_is_answered_as_written_beside_it(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(BAD)
    with pytest.raises(InputError) as caught:
        read(file.name)
    assert str(caught.value) == file.with_suffix(".txt").read_text(encoding="utf-8").rstrip("\n")
    for problem in caught.value.problems:
        assert problem.file == file.name
        assert problem.line
        assert problem.message
        assert problem.repair


def test_every_problem_comes_at_once_in_the_order_of_the_lines() -> None:
    with pytest.raises(InputError) as caught:
        read(BAD / "impossible-sizes.toml")
    lines = [problem.line or 0 for problem in caught.value.problems]
    assert len(lines) == 10
    assert lines == sorted(lines)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"a = 1\nb = '\xff\xfe'\n", "x.toml:2: the file is not UTF-8 text; save it as UTF-8"),
        ("a = 1".encode("utf-16"), "x.toml:1: the file is not UTF-8 text; save it as UTF-8"),
        (b"a = 1\n\0\n", "x.toml:2: the file has NUL bytes; save it as UTF-8 text"),
        (
            b"# only a comment\n",
            "x.toml:1:1: the design file is empty; start with these ten lines:\n[motion]",
        ),
        (b"a = [\n", "x.toml:2: the text ends in the middle of a list"),
        (b"x = " + b"9" * 5000, "x.toml:1: a number has too many digits"),
        (b"x = " + b"[" * 5000 + b"]" * 5000, "x.toml:1: lists or tables are nested too deeply"),
        (b"a = 2026-13-45\n", "x.toml:1:9: 2026-13-45 is not in quotes"),
        (b"speed: 3\n", "x.toml:1:6: not TOML: expected '=' after a key in a key/value pair; write field"),
    ],
)
def test_what_is_no_design_text(
    content: bytes, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("x.toml").write_bytes(content)
    with pytest.raises(InputError) as caught:
        read("x.toml")
    assert str(caught.value).startswith(said)


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"there is no such file; strokebox start .*lift.toml writes one"):
        read(tmp_path / "lift.toml")
    with pytest.raises(InputError, match="this is a folder; name the design file in it"):
        read(tmp_path)


def test_names_that_the_system_refuses(tmp_path: Path) -> None:
    for name in ("a\0b", "x" * 5000):
        with pytest.raises(InputError, match="cannot be read"):
            read(tmp_path / name)
    file = tmp_path / "a.toml"
    file.write_text(f'{TEN_LINES}\nshape = "{"x" * 5000}.step"', encoding="utf-8")
    with pytest.raises(InputError, match=r"the file .* is not there"):
        read(file)


def test_a_key_with_brackets_still_has_a_place() -> None:
    (problem,) = problems(f'{TEN_LINES}\n"a[b.c" = 1')
    assert problem.startswith("design.toml:11:1: nut.a[b.c: [nut] has no")
    assert nearest({"a": (3, 1)}, "a[b.c][0].d") == (3, 1)
    assert nearest({}, "a[b.c][0].d") == (1, 1)


def test_a_misspelt_key_hides_the_field_that_is_missing_for_it() -> None:
    assert problems(TEN_LINES.replace("speed", "sped")) == [
        'design.toml:3:1: motion.sped: [motion] has no "sped", did you mean "speed"; write speed'
    ]


def test_a_word_that_is_a_field_of_its_own_is_told_so() -> None:
    said = problems(f'{TEN_LINES}\n[[moving]]\nname = "pin"\nshape = "cylinder"')
    assert said[0] == (
        'design.toml:13:1: moving[0].shape: [moving[0]] has no "shape"; '
        'write cylinder = { diameter = "12 mm", span = "0..30 mm" }'
    )
    assert "has no" in problems(f'{TEN_LINES}\n[[moving]]\nname = "pin"\nshape = ["cylinder"]')[0]


def test_a_field_of_a_table_further_in_is_placed_there_first() -> None:
    said = problems(f'{TEN_LINES}\n[[moving]]\nname = "pin"\nspan = "0..30 mm"')
    assert said[0].endswith('[moving[0]] has no "span"; it belongs to [moving.cylinder] or [moving.tube]')


def test_a_file_with_a_similar_name_is_suggested(tmp_path: Path) -> None:
    (tmp_path / "screw.step").write_bytes(b"")
    file = tmp_path / "a.toml"
    for typed, repair in (("scrw.step", 'write shape = "screw.step"'), (r"'.\screw.step'", "use /: ")):
        quoted = typed if typed.startswith("'") else f'"{typed}"'
        file.write_text(TEN_LINES.replace("[nut]", f"shape = {quoted}\n[nut]"), encoding="utf-8")
        with pytest.raises(InputError) as caught:
            read(file)
        assert caught.value.problems[0].repair.startswith(repair)


def test_an_stl_file_needs_its_unit() -> None:
    (problem,) = problems(f'{TEN_LINES}\n[housing]\nfile = "box.STL"')
    assert 'the STL file of "housing" has no unit of its own; write unit = "mm" or unit = "inch"' in problem


def test_a_contact_may_name_a_solid_of_the_housings_file() -> None:
    contact = '[[contact]]\na = "nut"\nb = "lid of the box"'
    assert read_text(f'{TEN_LINES}\n[housing]\nfile = "box.step"\n{contact}').contact[0].b == "lid of the box"
    assert "there is no body" in problems(f"{TEN_LINES}\n{contact}")[0]


def test_every_part_that_is_there_may_be_named_in_a_contact() -> None:
    encoder = 'encoder = { diameter = "15 mm", length = "8 mm" }'
    parts = f'[gears]\n[motor]\n{encoder}\n[service]\ncable = {{ diameter = "3 mm" }}'
    names = ("screw", "nut", "motor", "gear", "encoder", "cable")
    pairs = [f'[[contact]]\na = "screw"\nb = "{name}"' for name in names if name != "screw"]
    assert len(read_text("\n".join([TEN_LINES, parts, *pairs])).contact) == 5


def test_control_characters_of_the_users_text_never_reach_the_terminal() -> None:
    for text in ('speed = "\\u001b[31m"', '"\\u001b[2J" = 3', '[[moving]]\nname = "a\\nb"\nbox = "\\u0007"'):
        with pytest.raises(InputError) as caught:
            read_text(text)
        assert all(letter.isprintable() or letter == "\n" for letter in str(caught.value))


@pytest.mark.parametrize(
    ("stops", "sensors", "refused"),
    [
        ("-4..64", "-1.5..61.5", 0),
        ("0..60", "0..60", 0),  # odd, not impossible: the checks warn
        ("-4..64", "-4..64", 0),
        ("-1..64", "-1.5..61.5", 1),
        ("-4..61", "-1.5..61.5", 1),
        ("1..64", "", 1),
        ("", "1..61.5", 1),
        ("-4..64", "1..65", 2),
    ],
)
def test_the_order_of_usable_end_sensor_and_hard_stop(stops: str, sensors: str, refused: int) -> None:
    given = [f'hard_stops = "{stops} mm"'] * bool(stops) + [f'sensors = "{sensors} mm"'] * bool(sensors)
    text = TEN_LINES.replace("[screw]", "\n".join([*given, "[screw]"]))
    if not refused:
        assert read_text(text)
        return
    found = problems(text)
    assert len([line for line in found if "is inside the" in line]) == refused
    assert all("usable" in line and "========" in line and "!" in line for line in found)


def test_a_lead_or_pitch_that_agrees_is_welcome() -> None:
    text = TEN_LINES.replace('"Tr8x1.5"', '"Tr8x8(P2) LH"\nlead = "8 mm"\npitch = "2 mm"')
    assert read_text(text).screw.lead == 8


def test_a_torque_table_must_rise_in_speed() -> None:
    row = '{{ speed = "{} rpm", torque = "9 mN*m" }}'
    for speeds, good in (((0, 3000), True), ((3000, 0), False), ((0, 0), False), ((0,), False)):
        table = ", ".join(row.format(speed) for speed in speeds)
        text = f"{TEN_LINES}\n[motor]\ntorque_table = [{table}]"
        if good:
            motor = read_text(text).motor
            assert motor is not None
            assert motor.torque_table[1].speed == pytest.approx(100 * math.pi, rel=1e-12)
        else:
            assert "the speed rising" in problems(text)[0]


# The schema


def test_every_field_is_a_section_or_has_help_and_an_example_it_reads_itself() -> None:
    for path, section in all_sections(Design):
        for name, field in section.model_fields.items():
            own = marker(section, name)
            if own is None:
                continue
            assert own.help, f"{path}.{name}"
            assert not own.help.endswith("."), f"{path}.{name}"
            info: Callable[..., object] = type("Info", (), {"context": None})
            assert own.read(own.example, info(), field.annotation) is not None  # type: ignore[arg-type] # a stand-in


def test_the_json_schema_names_every_section_and_field() -> None:
    schema = design_schema()
    text = json.dumps(schema)
    assert schema["title"] == "strokebox design file"
    assert set(schema["properties"]) == set(Design.model_fields)
    assert schema["required"] == ["motion", "screw", "nut"]
    for _, section in all_sections(Design):
        for name in section.model_fields:
            assert f'"{name}"' in text
    assert '"usable travel, from retracted to extended"' in text
    assert re.search(r'"examples": \["25 mm/s"\]', text)


def test_reading_loads_no_kernel_and_no_scientific_library() -> None:
    code = (
        "import sys; from geometry.design import read; read(sys.argv[1]);"
        "heavy = {'pint', 'OCP', 'cadquery', 'vtk', 'trimesh', 'scipy', 'matplotlib', 'fcl', 'manifold3d'};"
        "assert not heavy & set(sys.modules), heavy & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code, str(DEMO)], check=True, cwd=ROOT)
