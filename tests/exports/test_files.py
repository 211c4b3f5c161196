import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from exports.files import output_folder, write_bytes, write_new, write_text
from geometry.errors import InputError

ROOT = Path(__file__).parents[2]


def tree(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def killed(code: str, folder: Path) -> None:
    """Run the code until it says "ready", then kill it as no handler can answer."""
    process = subprocess.Popen(
        [sys.executable, "-c", code],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
    )
    assert process.stdout is not None
    assert process.stdout.readline().strip() == b"ready"
    process.send_signal(signal.SIGKILL)
    process.wait()
    process.stdout.close()


HALF_WAY = """
import pathlib, time
from exports.files import output_folder
with output_folder(pathlib.Path("out")) as work:
    (work / "screw.step").write_bytes(b"new but not whole")
    print("ready", flush=True)
    time.sleep(60)
"""


def test_new_folder_appears_whole(tmp_path: Path) -> None:
    with output_folder(tmp_path / "deep" / "out") as work:
        (work / "mockup").mkdir()
        (work / "mockup" / "nut.stl").write_bytes(b"nut")
        (work / "manifest.json").write_bytes(b"{}")
        assert not (tmp_path / "deep" / "out").exists()
    assert tree(tmp_path) == {"deep/out/mockup/nut.stl": b"nut", "deep/out/manifest.json": b"{}"}
    assert os.stat(tmp_path / "deep" / "out").st_mode == os.stat(tmp_path / "deep").st_mode


def test_folder_that_exists_keeps_what_the_run_does_not_write(tmp_path: Path) -> None:
    (tmp_path / "screw.step").write_bytes(b"old")
    (tmp_path / "notes.txt").write_bytes(b"mine")
    with output_folder(tmp_path) as work:
        (work / "screw.step").write_bytes(b"new")
        assert (tmp_path / "screw.step").read_bytes() == b"old"
    assert tree(tmp_path) == {"screw.step": b"new", "notes.txt": b"mine"}


def test_block_that_raises_changes_nothing(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "a").write_bytes(b"old")
    for folder in ("out", "other"):
        with pytest.raises(TypeError), output_folder(tmp_path / folder) as work:
            (work / "a").write_bytes(b"half") and (work / "b").write_bytes(None)  # type: ignore[arg-type] # on purpose
    assert tree(tmp_path) == {"out/a": b"old"}
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_manifest_comes_last(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "manifest.json").write_bytes(b"old")
    there_before_each_move = []

    def watched(source: Path, destination: Path, replace=os.replace) -> None:  # type: ignore[no-untyped-def] # stands in for os.replace
        there_before_each_move.append((tmp_path / "manifest.json").exists())
        replace(source, destination)

    monkeypatch.setattr("exports.files.os.replace", watched)
    with output_folder(tmp_path) as work:
        for name in ("a.step", "manifest.json", "z.step"):
            (work / name).write_bytes(b"new")
    assert there_before_each_move == [False, False, False]
    assert (tmp_path / "manifest.json").read_bytes() == b"new"


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")
@pytest.mark.parametrize("folder_exists", [True, False])
def test_killed_run_shows_nothing_and_the_next_one_sweeps(tmp_path: Path, folder_exists: bool) -> None:
    if folder_exists:
        (tmp_path / "out").mkdir()
        (tmp_path / "out" / "screw.step").write_bytes(b"old")
    killed(HALF_WAY, tmp_path)
    seen = {name: data for name, data in tree(tmp_path).items() if "/." not in f"/{name}"}
    assert seen == ({"out/screw.step": b"old"} if folder_exists else {})
    assert len(list(tmp_path.rglob("*unfinished*"))) == 1, "the run was killed before it had begun"
    with output_folder(tmp_path / "out") as work:
        (work / "screw.step").write_bytes(b"new")
    assert tree(tmp_path) == {"out/screw.step": b"new"}
    assert not list(tmp_path.rglob("*unfinished*"))


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")
def test_folder_of_a_living_run_is_not_swept(tmp_path: Path) -> None:
    with output_folder(tmp_path / "out") as work:
        (work / "a").write_bytes(b"first")
        with output_folder(tmp_path / "out") as second:
            (second / "b").write_bytes(b"second")
        assert (work / "a").read_bytes() == b"first"
    assert tree(tmp_path / "out") == {"a": b"first", "b": b"second"}


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")
def test_file_is_whole_whenever_the_writer_is_killed(tmp_path: Path) -> None:
    code = """
import pathlib
from exports.files import write_bytes
for turn in range(10**9):
    write_bytes(pathlib.Path("big.stl"), bytes([turn % 251]) * 3_000_000)
    if turn == 0:
        print("ready", flush=True)
"""
    for wait in (0.0, 0.004, 0.011):
        process = subprocess.Popen(
            [sys.executable, "-c", code],
            cwd=tmp_path,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdout=subprocess.PIPE,
        )
        assert process.stdout is not None
        process.stdout.readline()
        time.sleep(wait)
        process.kill()
        process.wait()
        process.stdout.close()
        data = (tmp_path / "big.stl").read_bytes()
        assert len(data) == 3_000_000
        assert len(set(data)) == 1
    write_bytes(tmp_path / "big.stl", b"end")
    assert [path.name for path in tmp_path.iterdir()] == ["big.stl"]


def test_text_is_utf8_with_line_feeds(tmp_path: Path) -> None:
    write_text(tmp_path / "a.csv", "Länge;±0.1\n")
    assert (tmp_path / "a.csv").read_bytes() == "Länge;±0.1\n".encode()


def test_write_new_never_overwrites(tmp_path: Path) -> None:
    write_new(tmp_path / "lift.toml", "first")
    with pytest.raises(InputError, match="exists already, nothing was written"):
        write_new(tmp_path / "lift.toml", "second")
    assert tree(tmp_path) == {"lift.toml": b"first"}


def test_unwritable_places_are_said_plainly(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(InputError, match="cannot be written"), output_folder(tmp_path / "file" / "out"):
        pass
    with pytest.raises(InputError, match="cannot be written"):
        write_bytes(tmp_path / "missing" / "a", b"")
    (tmp_path / "out" / "a.step").mkdir(parents=True)
    with (
        pytest.raises(InputError, match=r"a\.step is a folder there"),
        output_folder(tmp_path / "out") as work,
    ):
        (work / "a.step").write_bytes(b"")


def test_output_onto_a_file_is_refused_before_the_work(tmp_path: Path) -> None:
    (tmp_path / "out").write_bytes(b"a file")
    with pytest.raises(InputError, match="it is a file"), output_folder(tmp_path / "out"):
        pytest.fail("the work was done for nothing")


def test_error_of_the_block_stays_what_it_is(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError), output_folder(tmp_path / "out"):
        (tmp_path / "input").read_bytes()
