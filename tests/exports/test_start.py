import re
from pathlib import Path

from exports.start import start_text
from geometry.design import Design, read, read_text
from geometry.design_bodies import NOT_WITH_BOX
from geometry.design_schema import all_sections, essential_lines, marker, section_of


def uncommented() -> str:
    return re.sub(r"^# ", "", start_text(), flags=re.MULTILINE)


def test_ten_lines_are_uncommented_and_read_without_error() -> None:
    lines = [line for line in start_text().splitlines() if line.strip() and not line.startswith("#")]
    assert len(lines) == 10
    assert [line.split("  #")[0].rstrip() for line in lines] == essential_lines(Design)
    design = read_text(start_text())
    assert {field.count(".") for field in design.given} == {0, 1}
    assert len(design.given) == 10


def test_uncommented_it_reads_without_error_with_the_files_it_names(tmp_path: Path) -> None:
    for name in set(re.findall(r'"([a-z]+\.step)"', uncommented())):
        (tmp_path / name).write_bytes(b"")
    file = tmp_path / "all.toml"
    file.write_text(uncommented(), encoding="utf-8")
    design = read(file)
    assert design.files == (
        "encoder.step",
        "gear.step",
        "housing.step",
        "motor.step",
        "nut.step",
        "rod.step",
        "screw.step",
    )
    assert design.limits["drive.holding"].reason


def test_every_field_of_the_schema_stands_in_it() -> None:
    given = {re.sub(r"\[\d+\]", "", field) for field in read_text(uncommented()).given}
    assert "limits.drive.holding.reason" in given
    missing = {
        f"{path}.{name}"
        for path, section in all_sections(Design)
        for name in section.model_fields
        if path not in ("", "limits") and f"{path}.{name}" not in given
    }
    instead = {path for path in missing if path.startswith(("screw.family", "screw.outline"))}
    assert all(re.search(rf"^## {path.split('.')[-1]} = ", start_text(), re.MULTILINE) for path in instead
               if path.count(".") == 2)  # fmt: skip
    missing -= instead
    again = ("screw.far_journal", "screw.near_tip", "screw.far_tip")
    assert all(f"## Further fields as of [screw.near_journal].\n# [{path}]" in start_text() for path in again)
    missing -= {path for path in missing if path.startswith(again)}
    bodies = ("moving", "fixed", "housing.body", "keep_out")
    assert missing == {
        path
        for path in missing
        for body in bodies
        for shape in NOT_WITH_BOX
        if f"{path}.".startswith(f"{body}.{shape}.")
    }
    assert len([path for path in missing if path.count(".") == 1]) == 3 * len(NOT_WITH_BOX)


def test_every_field_with_a_line_of_its_own_has_its_help_there() -> None:
    text = start_text()
    for section in (Design.model_fields[name].annotation for name in ("motion", "screw", "nut", "ends")):
        for name in section_of(section).model_fields:  # type: ignore[union-attr] # each of them is a section
            own = marker(section_of(section), name)  # type: ignore[arg-type] # the same
            assert own is None or own.help in text


def test_each_other_shape_reads_in_place_of_the_box() -> None:
    shapes = re.findall(r"^## or ((?:cylinder|tube) = .*?)(?:  #.*)?$", start_text(), re.MULTILINE)
    assert len(shapes) == 2
    for shape in shapes:
        body = "\n".join([*essential_lines(Design), "[[moving]]", 'name = "a"', shape])
        assert read_text(body).moving[0].box is None


def test_a_default_is_shown_as_it_is_typed() -> None:
    text = start_text()
    assert re.search(r"pressure_angle = .*\(left out: 20 deg\)", text)
    assert re.search(r"fixed_to_fixed = .*\(left out: 0 mm\)", text)
    assert re.search(r"up = .*\(left out: \[0, 0, 1\]\)", text)
    assert re.search(r"bolt_strength = .*\(left out: 450 MPa\)", text)
    assert "1.5..3 shock (left out: 1.2)\n" in text
    assert "(left out: None)" not in text


def test_the_lines_fit_a_page_and_the_text_is_the_same_each_time() -> None:
    assert start_text() == start_text()
    assert max(len(line) for line in start_text().splitlines()) <= 110
