"""What a fit advises: the smallest cut and the clear strokes; nothing where nothing is wrong."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from vial_lift import box, fixed, moving

from calcs.clearance_pairs import PairResult
from calcs.fit_words import cautions_on, remedies_for
from geometry.bodies import Shape
from geometry.meshes import mesh_of
from geometry.units import Band

TRAVEL = (-4.0, 64.0)
RIB = PairResult(
    "flag", "rib", "travel", 0.5, "FAIL", Band(-0.4, -0.4, -0.4), 28.1, ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0)),
    below_required=((26.5, 29.7),), clash=((27.0, 29.2),), shortfall_axis=0,
)  # fmt: skip


def changed(**changes: object) -> PairResult:
    return replace(RIB, **changes)  # type: ignore[arg-type] # the fields by name


def test_the_cut_covers_clash_and_clearance() -> None:
    assert remedies_for(RIB, TRAVEL) == (
        "cut rib 0.9 mm along x where it faces flag (for 0.5 mm clear)",
        "or use s in [-4, 26.5] or [29.7, 64] mm",
    )


def test_the_cut_is_rounded_up_and_judged_on_the_low_end() -> None:
    near = changed(gap=Band(0.408, 0.41, 0.412), clash=())
    assert remedies_for(near, TRAVEL)[0].startswith("cut rib 0.1 mm")
    hair = changed(gap=Band(0.4986, 0.5006, 0.5026), verdict="NOT PROVEN", below_required=(TRAVEL,))
    assert remedies_for(hair, TRAVEL) == ("cut rib 0.002 mm along x where it faces flag (for 0.5 mm clear)",)


def test_what_may_touch_is_cut_until_it_only_touches() -> None:
    static = changed(required=0.0, kind="static", below_required=())
    assert remedies_for(static, TRAVEL) == (
        "cut rib 0.4 mm along x where it faces flag (so that the two only touch)",
    )


def test_nothing_is_advised_where_nothing_is_wrong() -> None:
    assert remedies_for(changed(verdict="PASS"), TRAVEL) == ()
    assert remedies_for(changed(verdict="NOT CHECKED", gap=None), TRAVEL) == ()


@pytest.mark.parametrize(
    ("low", "cut"),
    [
        (0.3, "0.2 mm"),  # 0.2 short, to rounding
        (0.29, "0.3 mm"),
        (0.479, "0.1 mm"),  # 0.021 short: to a tenth
        (0.481, "0.019 mm"),  # 0.019: to a micrometre
        (0.4981, "0.002 mm"),
        (0.4979, "0.003 mm"),
    ],
)
def test_a_cut_is_rounded_up_to_what_can_be_made(low: float, cut: str) -> None:
    near = changed(gap=Band(low, 0.6, 0.7), below_required=())
    assert remedies_for(near, TRAVEL) == (f"cut rib {cut} along x where it faces flag (for 0.5 mm clear)",)


def test_a_small_gap_is_asked_for_in_its_own_words() -> None:
    near = changed(required=0.05, gap=Band(-0.1, -0.1, -0.1), below_required=(), shortfall_axis=None)
    assert remedies_for(near, TRAVEL) == ("cut rib 0.2 mm where it faces flag (for 0.05 mm clear)",)
    assert remedies_for(replace(near, shortfall_axis=2), TRAVEL)[0].startswith("cut rib 0.2 mm along z where")


FLAG = moving("flag", "load", box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0))
WALL = fixed("wall", "housing", box(5.0, 6.0, 0.0, 1.0, 0.0, 1.0))


@pytest.mark.parametrize(
    ("kind", "required", "verdict", "said"),
    [
        ("travel", 0.5, "PASS", False),
        ("travel", 0.0, "PASS", False),
        ("travel", 0.5, "NOT CHECKED", True),
        ("static", 0.05, "PASS", False),
        ("static", 0.0, "PASS", True),  # two movers that may touch say nothing of the housing
    ],
)
def test_a_mover_that_nothing_was_held_against_is_named(
    kind: str, required: float, verdict: str, said: bool
) -> None:
    result = changed(b="wall", kind=kind, required=required, verdict=verdict)
    words = ("flag is checked against 0 bodies; give the housing or the bodies around it",)
    assert cautions_on([FLAG, WALL], {}, [result]) == (words if said else ())


@pytest.mark.parametrize(("contacts", "pairs", "said"), [(1, 10, False), (21, 200, True), (2, 10, True)])
def test_more_than_a_tenth_of_contacts_is_many(contacts: int, pairs: int, said: bool) -> None:
    results = [changed(kind="contact", verdict="PASS")] * contacts
    results += [changed(verdict="PASS")] * (pairs - contacts)
    found = cautions_on([FLAG, WALL], {}, results)
    share = f"{contacts} of {pairs} pairs are declared contacts ({contacts / pairs:.0%})"
    assert found == ((f"{share}; above 10% they may hide a clash: bound them in travel",) if said else ())


@pytest.mark.parametrize(
    ("shift", "words"),
    [
        ((6.05, 0.0, 0.0), "0.05 mm in x"),
        ((6.0, 0.0, 0.0), "0 mm in x"),
        ((5.95, 0.0, 0.0), ""),
        ((-2.5, 0.0, 0.0), "1.5 mm in x"),
        ((2.0, 0.0, 9.0), "4 mm in z"),
        ((2.0, -4.0, 7.0), "3 mm in y"),
        ((2.0, -1.0, 7.0), "2 mm in z"),
    ],
)
def test_an_actuator_beside_its_housing_is_named_from_its_nearest_faces_on(
    shift: tuple[float, float, float], words: str
) -> None:
    """A housing of two blocks fills 0 to 6, 0 to 4 and 0 to 5; the actuator is a cube of 1 mm."""
    motor = fixed("motor", "actuator", box(0.0, 1.0, 0.0, 1.0, 0.0, 1.0), own=True)
    walls = [
        fixed("base", "housing", box(0.0, 6.0, 0.0, 4.0, 0.0, 1.0)),
        fixed("lid", "cover", box(0.0, 6.0, 0.0, 4.0, 4.0, 5.0)),
    ]
    meshes = {}
    for body in (motor, *walls):
        assert isinstance(body.shape, Shape)
        meshes[body.name] = mesh_of(body.shape)
    meshes["motor"] = replace(meshes["motor"], vertices=meshes["motor"].vertices + np.array(shift))
    found = cautions_on([motor, *walls], meshes, [])
    if not words:
        assert found == ()
    else:
        (said,) = found
        assert said.startswith(f"all of the actuator is outside the housing's bounding box by {words}; ")
    assert cautions_on([motor, *walls], {"motor": meshes["motor"]}, []) == ()
