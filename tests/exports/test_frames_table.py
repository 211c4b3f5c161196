from __future__ import annotations

import csv
import io

import numpy as np
import pytest

from exports.demo import FIRST, demo_texts
from exports.frames import COLUMNS, frames_csv
from geometry.design import Design, read_text
from geometry.frames import frames_of


@pytest.fixture(scope="module")
def design() -> Design:
    return read_text(demo_texts()[FIRST])


def rows_of(design: Design) -> dict[str, dict[str, str]]:
    return {row["frame"]: row for row in csv.DictReader(io.StringIO(frames_csv(design), newline=""))}


def test_every_frame_is_a_row_with_its_origin_and_whether_it_moves(design: Design) -> None:
    rows = rows_of(design)
    assert list(rows) == [frame.name for frame in frames_of(design)]
    assert {"mount_face", "screw_axis", "motor_rear", "nut_flange_seat"} <= set(rows)
    for frame in frames_of(design):
        row = rows[frame.name]
        assert [float(row[f"origin_{axis}_mm"]) for axis in "xyz"] == pytest.approx(frame.origin, abs=1e-6)
        assert row["moves"] == ("yes" if frame.moves else "no")
        assert tuple(row) == COLUMNS


def test_the_axes_are_right_handed_and_z_points_out_of_the_face(design: Design) -> None:
    for name, row in rows_of(design).items():
        axes = np.array([[float(row[f"{axis}_axis_{along}"]) for along in "xyz"] for axis in "xyz"])
        assert axes @ axes.T == pytest.approx(np.eye(3))
        assert np.linalg.det(axes) == pytest.approx(1.0)
        assert axes[2][2] == (-1.0 if name in ("motor_rear", "thread_start") or "near_face" in name else 1.0)


def test_the_seat_of_the_flange_lies_where_the_nut_ends_and_goes_with_it(design: Design) -> None:
    rows = rows_of(design)
    assert design.nut.position is not None
    seat = design.nut.position + design.nut.length
    assert float(rows["nut_flange_seat"]["origin_z_mm"]) == pytest.approx(seat)
    assert rows["nut_flange_seat"]["moves"] == "yes"
    assert rows["mount_face"]["moves"] == "no"
