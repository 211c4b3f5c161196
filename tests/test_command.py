"""The command as a user meets it: words, exit status, what goes to which stream."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner

from exports import command
from exports.demo import FIRST, demo_texts

DESIGNS = {"fits": FIRST, "short": "vial-lift-short.toml", "rib": "vial-lift-rib.toml"}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("demo")
    for name, text in demo_texts().items():
        (made / name).write_text(text, encoding="utf-8")
    return made


def status(*words: object) -> int:
    return command._status([str(word) for word in words])


def test_what_works_ends_with_zero(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert status("check", folder / DESIGNS["fits"]) == 0
    text = capsys.readouterr().out
    assert "NOT PROVEN" in text.splitlines()[1]
    assert max(map(len, text.splitlines())) <= 100


def test_strict_lets_not_proven_fail(folder: Path) -> None:
    assert status("check", folder / DESIGNS["fits"], "--strict", "-q") == 1


def test_the_short_housing_fails_on_cable_room(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert status("check", folder / DESIGNS["short"]) == 1
    text = capsys.readouterr().out
    assert "cable" in text[: text.index("verdict")].lower()


def test_the_long_rib_fails_and_names_the_pair(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert status("fit", folder / DESIGNS["rib"]) == 1
    (line,) = [
        line for line in capsys.readouterr().out.splitlines() if "flag / rib" in line and "FAIL" in line
    ]
    assert "-0.400" in line
    assert "27 .. 29.2" in line
    assert "26.5 .. 29.7" in line


def test_quiet_is_two_lines(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status("check", folder / DESIGNS["fits"], "-q")
    assert len(capsys.readouterr().out.splitlines()) == 2


def test_verbose_says_more(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status("check", folder / DESIGNS["fits"])
    plain = capsys.readouterr().out
    status("check", folder / DESIGNS["fits"], "-v")
    loud = capsys.readouterr().out
    assert len(loud) > 2 * len(plain)
    assert "Shigley" in loud


def test_errors_go_to_standard_error_and_json_stays_one_document(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text('[motion]\nspeed = 25\nsped = "1 mm/s"\n', encoding="utf-8")
    assert status("check", bad, "--json") == 2
    out, err = capsys.readouterr()
    errors = json.loads(out)["errors"]
    assert {"file", "line", "column", "field", "message", "repair"} == errors[0].keys()
    assert f"{bad}:2:" in err
    assert "Traceback" not in err


def test_a_missing_file_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert status("fit", tmp_path / "none.toml") == 2
    assert "none.toml" in capsys.readouterr().err


def test_wrong_words_are_unusable_input(capsys: pytest.CaptureFixture[str]) -> None:
    assert status("check") == 2
    assert status("known", "nonsense") == 2
    assert "Traceback" not in capsys.readouterr().err


def test_start_writes_ten_lines_that_check_and_never_overwrites(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = tmp_path / "own.toml"
    assert status("start", own) == 0
    text = own.read_text(encoding="utf-8")
    spoken = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    assert len([line for line in spoken if "=" in line]) <= 10
    assert status("check", own) == 0
    printed = capsys.readouterr().out
    assert "What to give, most useful first" in printed
    assert printed.index("motor.resistance") < printed.index("motion.cycle_time")
    assert status("start", own) == 2
    assert own.read_text(encoding="utf-8") == text


def test_a_fault_of_ours_is_one_line_with_a_log(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(path: Path) -> None:
        raise ZeroDivisionError("broken on purpose")

    monkeypatch.setattr("calcs.check_ids.read_design", broken)
    assert status("check", folder / DESIGNS["fits"]) == 3
    out, err = capsys.readouterr()
    assert not out
    (line,) = err.splitlines()
    log = Path(line.rsplit(" ", 1)[1])
    assert "ZeroDivisionError" in log.read_text(encoding="utf-8")
    log.unlink()


@pytest.mark.skipif(sys.platform == "win32", reason="no such pipes there")
def test_a_reader_that_leaves_is_no_verdict(folder: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run(
        [sys.executable, "-m", "strokebox", "check", str(folder / DESIGNS["fits"])],
        stdout=writing,
        stderr=subprocess.PIPE,
        cwd=Path(__file__).parents[1],
        check=False,
    )
    os.close(writing)
    assert done.returncode == command.READER_LEFT
    assert done.stderr == b""


@pytest.mark.parametrize("name", sorted(command.main.commands))
def test_every_help_shows_an_example(name: str) -> None:
    shown = CliRunner().invoke(command.main, [name, "--help"])
    assert shown.exit_code == 0
    assert f"strokebox {name}" in shown.output
    assert "Example" in shown.output


def test_a_killed_make_leaves_no_visible_file(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    run = subprocess.Popen(
        [sys.executable, "-m", "strokebox", "make", str(folder / DESIGNS["fits"]), "-o", str(out)],
        stdout=subprocess.DEVNULL,
        cwd=Path(__file__).parents[1],
        env=os.environ,
    )
    deadline = time.monotonic() + 120
    while not any(path.is_file() for path in tmp_path.rglob("*")):
        assert run.poll() is None, "make ended before it was killed"
        assert time.monotonic() < deadline
        time.sleep(0.01)
    run.send_signal(signal.SIGKILL)
    run.wait()
    assert not out.exists()
    assert not [path for path in tmp_path.iterdir() if not path.name.startswith(".")]
