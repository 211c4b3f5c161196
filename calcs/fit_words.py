"""What a fit advises and warns of, in words: the smallest cut, the clear strokes, what went unchecked."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from calcs.clearance_pairs import PairResult
from calcs.clearance_windows import Interval, clear_of
from geometry.bodies import Body
from geometry.meshes import Mesh, Points

_MANY_CONTACTS = 0.10  # share of pairs; common practice, no source


def remedies_for(result: PairResult, travel: Interval) -> tuple[str, ...]:
    """Say what would make a pair pass that failed or is not proven: a cut (mm), and the clear strokes."""
    if result.verdict not in ("FAIL", "NOT PROVEN") or result.gap is None:
        return ()
    short = result.required - result.gap.low
    steps = 10.0 if short > 0.02 else 1000.0  # in a millimetre
    cut = math.ceil(short * steps - 1e-6) / steps
    axis = f" along {'xyz'[result.shortfall_axis]}" if result.shortfall_axis is not None else ""
    purpose = f"for {result.required:g} mm clear" if result.required > 0.0 else "so that the two only touch"
    advice = [f"cut {result.b} {cut:g} mm{axis} where it faces {result.a} ({purpose})"]
    clear = clear_of(result.below_required, *travel)
    if result.below_required and clear:
        advice.append(f"or use s in {' or '.join(f'[{low:.4g}, {high:.4g}]' for low, high in clear)} mm")
    return tuple(advice)


def cautions_on(
    bodies: Sequence[Body], meshes: Mapping[str, Mesh], results: Sequence[PairResult]
) -> tuple[str, ...]:
    """Say where a clean result would mean little: unchecked movers, many contacts, an actuator elsewhere."""
    return (*_unchecked_movers(bodies, results), *_many_contacts(results), *_elsewhere(bodies, meshes))


def _unchecked_movers(bodies: Sequence[Body], results: Sequence[PairResult]) -> list[str]:
    checked = {
        name
        for result in results
        if result.verdict != "NOT CHECKED" and (result.kind == "travel" or result.required > 0.0)
        for name in (result.a, result.b)
    }
    return [
        f"{body.name} is checked against 0 bodies; give the housing or the bodies around it"
        for body in bodies
        if body.moves and body.name not in checked
    ]


def _many_contacts(results: Sequence[PairResult]) -> list[str]:
    contacts = sum(result.kind == "contact" for result in results)
    if contacts <= _MANY_CONTACTS * len(results):
        return []
    share = f"{contacts} of {len(results)} pairs are declared contacts ({contacts / len(results):.0%})"
    return [f"{share}; above {_MANY_CONTACTS:.0%} they may hide a clash: bound them in travel"]


def _elsewhere(bodies: Sequence[Body], meshes: Mapping[str, Mesh]) -> list[str]:
    around = _box_around(
        [meshes[b.name] for b in bodies if b.name in meshes and b.role in ("housing", "cover")]
    )
    own = _box_around([meshes[b.name] for b in bodies if b.name in meshes and b.part_of_actuator])
    if around is None or own is None:
        return []
    outside = np.maximum(around[0] - own[1], own[0] - around[1])
    axis = int(outside.argmax())
    if outside[axis] < 0.0:
        return []
    return [
        "all of the actuator is outside the housing's bounding box by "
        f"{outside[axis]:.4g} mm in {'xyz'[axis]}; "
        "the housing file's origin is probably the machine's: shift the housing to the gear's front face"
    ]


def _box_around(meshes: Sequence[Mesh]) -> tuple[Points, Points] | None:
    if not meshes:
        return None
    lows, highs = zip(*(mesh.bounds for mesh in meshes), strict=True)
    return np.min(lows, axis=0), np.max(highs, axis=0)
