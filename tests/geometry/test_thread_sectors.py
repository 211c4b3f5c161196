"""Two generators split the loop of an end cone: where, and clear of its corners."""

import math

import numpy as np
import pytest

from geometry.outlines import bernstein
from geometry.thread_ends import Cut
from geometry.thread_sectors import sectors
from geometry.threads import thread


def loop_of(designation):
    made = thread(designation)
    strands = [
        (poles[:, 0] + start * made.pitch_mm, poles[:, 1])
        for start in range(made.starts)
        for poles in (np.array(piece.poles) for piece in made.external.pieces)
    ]
    return strands, math.tau / made.lead_mm


@pytest.mark.parametrize("designation", ["M3", "Tr8x1.5", "Tr8x8(P2)", "1-5 ACME"])
@pytest.mark.parametrize("cut", [Cut(-1.0, 1.0), Cut(9.0, -1.0)])
def test_generators_cross_the_loop_where_they_say_and_odd_times_each(designation, cut):
    strands, k = loop_of(designation)
    split = sectors(strands, cut, k)
    count = [0, 0]
    for (s, r), crossings in zip(strands, split.crossings, strict=True):
        assert [c.share for c in crossings] == sorted(c.share for c in crossings)
        for crossing in crossings:
            weights = bernstein(len(s) - 1, np.array([crossing.share]))
            here_s, here_r = float((weights @ s)[0]), float((weights @ r)[0])
            assert crossing.radius == pytest.approx(here_r, abs=1e-12)
            assert crossing.angle == pytest.approx(k * (cut.axial + cut.slope * here_r - here_s), abs=1e-9)
            half = (crossing.angle - split.start) / math.pi
            assert half == pytest.approx(round(half), abs=1e-12)
            count[round(half) % 2] += 1
    # From the core outwards a generator leaves the metal once, and between folds twice more.
    assert count[0] % 2 == 1
    assert count[1] % 2 == 1


@pytest.mark.parametrize("designation", ["M3", "Tr8x1.5", "Tr8x8(P2)"])
def test_generators_keep_clear_of_the_corners(designation):
    strands, k = loop_of(designation)
    cut = Cut(-1.0, 1.0)
    start = sectors(strands, cut, k).start
    corners = np.array([k * (cut.axial + cut.slope * r[0] - s[0]) for s, r in strands])
    apart = (corners - start) % math.pi
    assert np.minimum(apart, math.pi - apart).min() > math.pi / 2 / (2 * len(strands))
