"""Random threads of every family, start, hand, limit and end are sound."""

import pytest
from random_threads import rods
from sound_builds import prove, prove_random

from geometry.meshes import Mesh
from geometry.thread_ends import threaded_rod
from geometry.thread_mesh import rod_mesh
from geometry.thread_properties import threaded_solid
from geometry.thread_solid import rod_solid


def prove_thread(rod):
    made, length, ends = rod
    part, tolerance = threaded_rod(made, length, **ends), 0.01 * made.pitch_mm
    mesh = Mesh(*rod_mesh(part, tolerance), tolerance)
    return prove(rod_solid(made, length, **ends), threaded_solid(part).volume_mm3, mesh)


KINDS = [("thread", 4.0), ("thread at length", 60.0)]


@pytest.mark.parametrize(("kind", "most_turns"), KINDS)
def test_random_threads_are_sound(kind, most_turns):
    prove_random(kind, rods(most_turns=most_turns), prove_thread, long=False)


@pytest.mark.long
@pytest.mark.parametrize(("kind", "most_turns"), [*KINDS[:1], ("thread at length", 300.0)])
def test_many_random_threads_are_sound(kind, most_turns):
    prove_random(kind, rods(most_turns=most_turns), prove_thread, long=True)
