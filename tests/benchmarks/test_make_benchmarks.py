"""What `make` costs against `import cadquery`, as a ratio of one run, and its memory.

python -m pytest tests/benchmarks/test_make_benchmarks.py -o addopts= --benchmark-only -s
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from exports.demo import FIRST, demo_texts

ROOT = Path(__file__).parents[2]


def seconds(*words: str, repeat: int = 5) -> float:
    """Least wall time of a fresh Python process, the first one (which may compile) not counted."""
    found = []
    for _ in range(repeat + 1):
        begin = time.perf_counter()
        subprocess.run([sys.executable, *words], cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
        found.append(time.perf_counter() - begin)
    return min(found[1:])


@pytest.fixture(scope="module")
def yardstick() -> float:
    return seconds("-c", "import cadquery")


@pytest.fixture
def design(tmp_path: Path) -> Path:
    path = tmp_path / FIRST
    path.write_text(demo_texts()[FIRST], encoding="utf-8")
    return path


def test_make_takes_at_most_six_imports_and_a_gigabyte_and_a_half(
    benchmark: BenchmarkFixture, yardstick: float, design: Path
) -> None:
    out = str(design.with_name("out"))
    words = ("-m", "strokebox", "make", str(design), "-o", out, "-q")
    taken = benchmark.pedantic(seconds, words, kwargs={"repeat": 2}, rounds=1)
    most = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * 1024
    print(f"\nmake: {taken:.2f} s = {taken / yardstick:.2f} of `import cadquery`; {most / 1e9:.2f} GB")
    assert taken <= 6 * yardstick
    assert most < 1.5e9
