"""The stack in one line: a plain sentence and one table row in trade words, for a bill of materials (mm).

No code system: every size stands with its name and unit, as a buyer would read it aloud.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

from geometry.frames import stations_of
from geometry.motor import is_square, motor_width
from geometry.nut import bolt_hole_diameter
from geometry.screw_ends import Step, steps_of
from geometry.screw_thread import thread_of
from geometry.spur_train import placed_spur

if TYPE_CHECKING:
    from geometry.design import Design
    from geometry.design_drive import Motor
    from geometry.design_gears import Gears, Spur

SAID = ("motor", "encoder", "gear", "spur_gear", "screw", "nut", "push_rod")
ROW = ("motor", "gear", "spur_gear", "screw", "nut", "push_rod", "stroke_mm", "length_mm")


def stack_sentence(design: Design) -> str:
    """Give the whole actuator as one sentence, from the motor to the nut (mm)."""
    stroke, parts = design.motion.stroke, stack_parts(design)
    words = [parts[name] for name in SAID if name in parts]
    said = f"{', '.join(words)}, {stroke.high - stroke.low:g} mm of stroke"
    length = overall_length(design)
    said += f", {length:g} mm long without the cable" if length is not None else ""
    return said[0].upper() + said[1:]


def stack_row(design: Design) -> tuple[object, ...]:
    """Give the whole actuator as one table row, its columns those of ROW; None where it has no such part."""
    parts, stroke = stack_parts(design), design.motion.stroke
    words = (parts.get(name) for name in ROW[:-2])
    return (*words, stroke.high - stroke.low, overall_length(design))


def overall_length(design: Design) -> float | None:
    """Give the length from the rear face to the farthest end at s = 0 (mm), None where it is not known."""
    at = stations_of(design)
    rear = at.rear if design.motor else at.gear_rear
    if rear is None:
        return None
    return max(0.0, at.screw_end, at.nut_far or 0.0, at.rod_end or 0.0) - min(
        0.0, rear, design.screw.position
    )


def stack_parts(design: Design) -> dict[str, str]:
    """Give each part of the actuator in trade words by its body's name (mm)."""
    parts: dict[str, str] = {}
    if design.motor is not None:
        parts["motor"] = _motor(design.motor)
        if design.motor.encoder is not None:
            parts["encoder"] = _encoder(design.motor)
        if design.motor.cover is not None:
            cover = design.motor.cover
            parts["motor_cover"] = f"cover {cover.diameter:g} x {cover.length:g} mm"
    if design.gears is not None:
        if design.gears.inline:
            parts["gear"] = _gear(design.gears)
        if design.gears.spur is not None:
            parts["spur_gear"] = _spur(design, design.gears.spur)
    if design.seal is not None:
        kind = "lip seal" if design.seal.kind == "lip" else "bellows"
        parts["screw_seal"] = (
            f"{kind} {design.seal.diameter:g}/{design.seal.bore:g} x {design.seal.length:g} mm"
        )
    if design.service.cable is not None:
        parts["cable"] = f"cable {design.service.cable.diameter:g} mm"
    return parts | {"screw": _screw(design)} | _nuts(design) | _rod(design)


def _motor(motor: Motor) -> str:
    kind = f"{motor.kind} motor" if motor.kind != "stepper" else "stepper motor"
    kind = "motor" if motor.kind is None else kind
    width = motor_width(motor)
    size = motor.frame or (f"{width:g} mm square" if is_square(motor) else f"{width:g} mm" if width else "")
    length = f" x {motor.length:g} mm" if motor.length else ""
    hollow = f" with a {motor.bore:g} mm bore" if motor.bore else ""
    return f"{kind} {size}{length}{hollow}".rstrip()


def _encoder(motor: Motor) -> str:
    encoder = motor.encoder
    assert encoder is not None  # asked before
    counts = f" of {encoder.counts} counts a turn" if encoder.counts else ""
    return f"encoder{counts} {encoder.diameter:g} x {encoder.length:g} mm"


def _gear(gears: Gears) -> str:
    count = len(gears.stage)
    kind = f"{count}-stage planetary gear" if count else "gear"
    ratio = gears.ratio
    if count:
        ratio = math.prod(stage.ratio for stage in gears.stage)
    elif ratio and gears.spur:
        ratio /= gears.spur.ratio
    said = f"{kind} {ratio:.4g}:1" if ratio else kind
    sizes = [f"{size:g}" for size in (gears.diameter, gears.length) if size]
    return f"{said} {' x '.join(sizes)} mm" if sizes else said


def _spur(design: Design, spur: Spur) -> str:
    said = f"spur stage {spur.pinion}/{spur.wheel} module {spur.module:g} mm"
    train = placed_spur(design)
    return said if train is None else f"{said} offset {train.stage.centre_distance:.4g} mm"


def _screw(design: Design) -> str:
    screw, made = design.screw, thread_of(design.screw)
    hand = "right" if made.hand == "right" else "left"
    starts = f", {made.starts} starts" if made.starts > 1 else ""
    ends = [*_ends(design, "near"), *_ends(design, "far")]
    bore = f", bored {screw.bore:g} mm" if screw.bore else ""
    turned = f" ({'; '.join(ends)})" if ends else ""
    return (
        f"{screw.material} screw {made.designation} {hand} hand{starts}, lead {made.lead_mm:g} mm, "
        f"{screw.length:g} mm of thread{turned}{bore}"
    )


def _ends(design: Design, side: Literal["near", "far"]) -> list[str]:
    return [
        f"{step.field.removeprefix('screw.').replace('_', ' ')} {_end(step)}"
        for step in steps_of(design.screw, side)
    ]


def _end(step: Step) -> str:
    own = step.journal
    size = own.thread or f"{own.diameter:g}"
    said = [f"{size} x {own.length:g} mm"]
    said += ["circlip groove"] if own.circlip is not None else []
    said += [f"flat to {own.flat:g} mm"] if own.flat is not None else []
    said += [f"hexagon {own.hexagon:g} mm"] if own.hexagon is not None else []
    said += [f"square {own.square:g} mm"] if own.square is not None else []
    said += [f"cross hole {own.cross_hole:g} mm"] if own.cross_hole is not None else []
    return " with ".join([said[0], *([" and ".join(said[1:])] if said[1:] else [])])


def _nuts(design: Design) -> dict[str, str]:
    nut = design.nut
    if nut.kind == "none":
        return {}
    material = f"{nut.material} " if nut.material else ""
    kind = "ball nut" if nut.balls is not None else "nut"
    shape = {"cylindrical": "round", "flanged": "flanged", "square": "square"}[nut.kind]
    sizes = [nut.body_diameter or nut.across_flats, nut.length]
    size = " x ".join(f"{value:g}" for value in sizes if value)
    said = f"{material}{shape} {kind} {size} mm"
    if nut.kind == "flanged" and nut.flange_diameter:
        said += f", flange {nut.flange_diameter:g} mm {nut.flange}"
        if nut.bolt_circle and nut.bolt_holes and (nut.bolt or nut.bolt_hole):
            hole = f"tapped {nut.bolt}" if nut.bolt else f"{nut.bolt_hole:g} mm through"
            if nut.bolt and nut.bolt_fit != "tapped":
                hole = f"{bolt_hole_diameter(nut):g} mm through for {nut.bolt}"
            said += f", {nut.bolt_holes} holes {hole} on {nut.bolt_circle:g} mm"
    elif nut.across_flats and nut.kind == "cylindrical":
        said += f" with two flats {nut.across_flats:g} mm"
    elif nut.key is not None:
        said += f" with a key {nut.key.width:g} x {nut.key.height:g} mm"
    if nut.second is None:
        return {"nut": said}
    return {
        "nut": f"anti-backlash pair, {said}",
        "nut_half": f"{material}second half {nut.second.length:g} mm of thread",
        "nut_spring": f"spring {nut.second.spring_diameter:g}/{nut.second.spring_bore:g} x "
        f"{nut.second.spring_length:g} mm",
    }


def _rod(design: Design) -> dict[str, str]:
    rod = design.push_rod
    if rod is None:
        return {}
    kind, bore = ("push rod", "") if rod.bore is None else ("push tube", f"/{rod.bore:g}")
    said = {"push_rod": f"{rod.material} {kind} {rod.diameter:g}{bore} x {rod.length:g} mm"}
    if (bush := rod.guide) is None:
        return said
    material = f"{bush.material} " if bush.material else ""
    return {
        "push_rod": f"{said['push_rod']} in a bush {bush.length:g} mm long",
        "push_rod_bush": f"{material}bush {bush.diameter:g}/{bush.bore:g} x {bush.length:g} mm",
    }
