"""The yardstick for thread solids: what a person writes by hand on cadquery today.

Sweeps the groove of an external thread along a helix and cuts it from a cylinder.

    python thread_sweep_and_cut.py {metric|trapezoidal|acme} DIAMETER PITCH STARTS LENGTH     (mm)

Prints one JSON line: seconds (building only, imports not counted), is_valid (the kernel's own
word), right (one solid within 1 % of the closed-form volume), volume, closed_form, faces.
"""

import json
import math
import sys
import time

import cadquery as cq

# family -> (depth, half angle in degrees, crest flat), each a function of the pitch
OUTLINES = {
    "metric": lambda p: (17 / 24 * math.sqrt(3) / 2 * p, 30.0, p / 8),
    "trapezoidal": lambda p: (p / 2 + (0.15 if p < 2 else 0.25 if p < 6 else 0.5), 15.0, 0.366 * p),
    "acme": lambda p: (p / 2 + 0.254, 14.5, 0.3707 * p),
}


def main() -> None:
    family = sys.argv[1]
    diameter, pitch = float(sys.argv[2]), float(sys.argv[3])
    starts, length = int(sys.argv[4]), float(sys.argv[5])
    depth, half_angle, crest = OUTLINES[family](pitch)
    major, minor, lead = diameter / 2, diameter / 2 - depth, pitch * starts
    flank = depth * math.tan(math.radians(half_angle))
    root = pitch - crest - 2 * flank
    section = (
        (crest * major**2 + root * minor**2 + 2 * flank * (major**2 + major * minor + minor**2) / 3)
        * math.pi
        / pitch
    )
    out: dict[str, object] = {
        "family": family,
        "diameter": diameter,
        "pitch": pitch,
        "starts": starts,
        "length": length,
    }
    begin = time.perf_counter()
    try:
        over = 0.05
        wide = root / 2 + flank * (depth + over) / depth
        groove = (
            cq.Workplane("XZ")
            .center(minor, 0)
            .polyline([(0, -root / 2), (0, root / 2), (depth + over, wide), (depth + over, -wide)])
            .close()
        )
        path = cq.Workplane(obj=cq.Wire.makeHelix(lead, length + 2 * lead, minor))
        tool = groove.sweep(path, isFrenet=True).translate((0, 0, -lead))
        rod = cq.Workplane("XY").circle(major).extrude(length)
        for start in range(starts):
            rod = rod.cut(tool.rotate((0, 0, 0), (0, 0, 1), 360 * start / starts))
        shape = rod.val()
        volume = shape.Volume()
        out.update(
            is_valid=shape.isValid(),
            right=bool(
                shape.isValid() and len(shape.Solids()) == 1 and abs(volume / (section * length) - 1) < 0.01
            ),
            volume=round(volume, 4),
            closed_form=round(section * length, 4),
            faces=len(shape.Faces()),
        )
    except Exception as problem:  # noqa: BLE001 the script may fail: that is a result
        out.update(is_valid=False, right=False, error=repr(problem)[:120])
    out["seconds"] = round(time.perf_counter() - begin, 3)
    print(json.dumps(out))


main()
