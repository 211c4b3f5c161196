"""A thread family is one file: a made-up one is found wherever threads are, and README lists every one."""

import shutil
from pathlib import Path

import pytest

from exports.command import _status
from exports.family_table import family_table, with_table
from geometry import thread_families
from geometry.threads import family_thread, thread

ROOT = Path(__file__).parents[1]

MADE_UP = """
family = "knuckle of the river works"
source = "Works standard 7 of an invented works"
unit = "mm"
example = "Kn12x2"
patterns = ['Kn(?P<diameter>[\\d.]+)x(?P<pitch>[\\d.]+)']
single_start = "Kn{size}x{pitch}"
multi_start = "Kn{size}x{lead}(P{pitch})"
first_choice_may_be_omitted = false
flank_angles_deg = [20.0, 20.0]
clearances = [[10.0, 0.0]]
[diameters]
major = [0.0, 0.0]
pitch = [-0.5, 0.0]
minor = [-1.0, 0.0]
root = [-1.0, 0.0]
internal_major = [0.0, 0.0]
internal_minor = [-1.0, 0.0]
[outlines]
external = [[-0.159, 0.0], [0.159, 0.0], [0.341, -0.5], [0.659, -0.5], [0.841, 0.0]]
internal = [[-0.159, 0.0], [0.159, 0.0], [0.341, -0.5], [0.659, -0.5], [0.841, 0.0]]
[sources]
works = "sheet 2"
[sizes]
rows = [{ diameter = 12.0, pitch = 2.0, source = "works" }]
[tolerances.quantities.gap]
by_pitch = [[2.0, -50.0]]
[tolerances.quantities.width]
by_pitch = [[2.0, 100.0]]
[tolerances.classes.R1]
source = "sheet 3"
limits.d = { basic = "major", from = { gap = 1.0 }, width = { width = 1.0 } }
limits.d2 = { basic = "pitch", from = { gap = 1.0 }, width = { width = 1.0 } }
"""
DESIGN = """
[motion]
stroke = "0..40 mm"
speed = "10 mm/s"
mass = "1 kg"
[screw]
thread = "Kn 12x2"
length = "96 mm"
[nut]
length = "16 mm"
friction = "0.08..0.15..0.20"
"""


@pytest.fixture
def made_up(tmp_path, monkeypatch):
    folder = tmp_path / "standards"
    shutil.copytree(ROOT / "geometry" / "standards", folder)
    (folder / "knuckle.toml").write_text(MADE_UP, encoding="utf-8")
    monkeypatch.setattr(thread_families, "_folder", lambda: folder)
    forget()
    yield
    monkeypatch.undo()
    forget()


def forget():
    thread_families.forget()
    thread.cache_clear()
    family_thread.cache_clear()


@pytest.mark.usefixtures("made_up")
def test_a_made_up_family_is_found_everywhere(tmp_path, capsys):
    assert _status(["known", "threads"]) == 0
    shown = capsys.readouterr().out
    assert "knuckle of the river works" in shown
    assert "Kn12x2" in shown
    assert "sheet 2" in shown
    assert "limits in R1 from sheet 3" in shown
    assert "| knuckle of the river works | `Kn12x2`, `Kn12x4(P2)` | 1 | 20° | R1 |" in family_table()

    file = tmp_path / "own.toml"
    file.write_text(DESIGN, encoding="utf-8")
    assert _status(["check", str(file), "--json"]) in (0, 4)
    checked = capsys.readouterr().out
    assert '"drive.raise_torque"' in checked
    assert thread("Kn12x2").limits("R1")["d"] == (11.95, 11.85)


@pytest.mark.usefixtures("made_up")
def test_a_made_up_family_has_solids_and_meshes():
    from geometry.thread_ends import threaded_rod
    from geometry.thread_mesh import thread_mesh
    from geometry.thread_properties import threaded_solid
    from geometry.thread_solid import thread_solid

    expected = threaded_solid(threaded_rod(thread("Kn12x2"), 20.0)).volume_mm3
    solid = thread_solid("Kn12x2", 20.0)
    assert solid.isValid()
    assert solid.Volume() == pytest.approx(expected, rel=1e-6)
    assert thread_mesh("Kn12x2", 20.0, tolerance_mm=0.01).is_watertight


def test_readme_lists_the_families_as_they_are():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert with_table(readme) == readme, "run python -m exports.family_table README.md"
    assert family_table() in readme


def test_a_text_without_the_markers_is_no_readme():
    with pytest.raises(ValueError, match="thread families"):
        with_table("# strokebox")
