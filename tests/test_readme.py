"""README keeps its word: the sample is what the command prints, and CI runs the second command."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from exports import command
from exports.demo import demo_texts

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def without_hash(text: str) -> list[str]:
    return re.sub(r"sha256 [0-9a-f]+", "sha256", text).splitlines()


def test_the_sample_is_real(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sample = re.search(r"```\n\$ strokebox (fit) (\S+)\n(.*?)```", README, re.DOTALL)
    assert sample is not None
    design = tmp_path / sample[2]
    design.write_text(demo_texts()[sample[2]], encoding="utf-8")
    command._status([sample[1], str(design)])
    printed = without_hash(capsys.readouterr().out)
    shown = [line for line in without_hash(sample[3]) if line.strip() != "..."]
    assert [line for line in shown if line not in printed] == []


def test_ci_runs_the_second_command_word_for_word() -> None:
    commands = re.findall(r"^    (python3 -m venv .*)$", README, re.MULTILINE)
    assert len(commands) == 2
    assert commands[1] in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_readme_opens_with_the_job() -> None:
    first = README.split("\n\n")[1]
    assert first.startswith("A mechanical designer drops a small motor-driven screw actuator")
