"""Render every thread, nut, rod, screw end, motor, gear mounting and stage to PNG, for people to look at.

    python tests/pictures/render_parts.py FOLDER [NAME ...]

One picture a design, and `sheet.png` with all of them. Needs vtk, which the CAD kernel brings along, and EGL
or OSMesa where there is no display.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import numpy as np

from exports.part_meshes import part_mesh
from geometry.design import Design, read_text
from geometry.meshes import Mesh
from geometry.placed import place
from geometry.solid_meshes import mesh_of_solid
from geometry.stack_solids import solids_of

SIZE = (640, 480)
COLUMNS = 5
TOLERANCE = 0.02  # mm; finer than a pixel

HEAD = '[motion]\nstroke = "0..2 mm"\nspeed = "10 mm/s"\nmass = "0.1 kg"\n'
SCREW = '[screw]\nthread = "Tr8x1.5"\nlength = "26 mm"\n'
NUT = '[nut]\nfriction = 0.15\nposition = "9 mm"\nlength = "12 mm"\nmaterial = "POM"\n'
ROUND = 'body_diameter = "14 mm"\n'
FLANGE = (
    'kind = "flanged"\nbody_diameter = "14 mm"\nflange_diameter = "28 mm"\nflange_thickness = "4 mm"\n'
    'bolt_circle = "21 mm"\nbolt_holes = 4\n'
)
THROUGH, TAPPED = 'bolt_hole = "3.4 mm"\n', 'bolt = "M3"\n'
SECOND = (
    '[nut.second]\nlength = "6 mm"\nspring_length = "5 mm"\nspring_diameter = "12 mm"\nspring_bore = "9 mm"\n'
)
BALL_NUT = (
    '[screw]\nthread = "Ball10x2"\nlength = "50 mm"\n'
    '[nut]\nfriction = 0.005\nposition = "9 mm"\nlength = "28 mm"\nkind = "flanged"\nmaterial = "steel"\n'
    'body_diameter = "22 mm"\nflange_diameter = "38 mm"\nflange_thickness = "5 mm"\nbolt_circle = "30 mm"\n'
    'bolt_holes = 6\nbolt_hole = "4.5 mm"\nflange = "toward motor"\n'
    '[nut.balls]\ndynamic_load = "3 kN"\nturns = 3.5\nshown = true\n'
    'cap = { width = "10 mm", height = "3 mm", length = "14 mm" }\n'
)
NO_NUT = '[nut]\nfriction = 0.15\nlength = "6 mm"\nkind = "none"\n'

NUTS = {
    "round": ROUND,
    "two-flats": ROUND + 'across_flats = "12 mm"\n',
    "key": ROUND + 'key = { width = "4 mm", height = "1.5 mm" }\n',
    "square": 'kind = "square"\nacross_flats = "14 mm"\n',
    "flanged-away": FLANGE + THROUGH,
    "flanged-toward": FLANGE + THROUGH + 'flange = "toward motor"\n',
    "flanged-tapped": FLANGE + TAPPED,
    "flanged-two-sided": FLANGE + THROUGH + 'flange_flats = "20 mm"\n',
    "anti-backlash": FLANGE.replace("4 mm", "3 mm") + THROUGH + 'flange = "toward motor"\n' + SECOND,
}
THREAD = '[screw]\nthread = "{}"\nlength = "50 mm"\n'
OUTLINE = (
    '[screw]\nlength = "50 mm"\n[screw.outline]\ndiameter = "20 mm"\npitch = "4 mm"\nstarts = 2\n'
    'depth = "2.4 mm"\ncrest = "1.3 mm"\nflank_angle = "10 deg"\nback_flank_angle = "20 deg"\n'
    'radii = ["0.2 mm", "0.2 mm", "0.4 mm", "0.4 mm"]\n'
)
THREADS = {
    "metric": THREAD.format("M20"),
    "trapezoidal": THREAD.format("Tr20x4"),
    "acme": THREAD.format("3/4-6 ACME"),
    "square": THREAD.format("Sq20x4"),
    "square-four-starts-left": THREAD.format("Sq20x16(P4) LH"),
    "buttress": THREAD.format("S20x4"),
    "ball-gothic": THREAD.format("Ball20x5"),
    "ball-arc": THREAD.format("Ball20x5 arc"),
    "ball-long-lead": THREAD.format("Ball20x20"),
    "own-outline": OUTLINE,
}
END = 'far_journal = {{ diameter = "6 mm", length = "10 mm"{} }}\n'
ENDS = {
    "plain": 'thread_ends = "plain"\n',
    "chamfered": "",
    "journal": END.format(', chamfer = "0.4 mm"'),
    "larger-journal": END.format("").replace("6 mm", "10 mm"),
    "circlip": END.format(', circlip = "7 mm", chamfer = "0.3 mm"'),
    "flat": END.format(', flat = "5.2 mm", milled = "7 mm"'),
    "hexagon": END.format(', hexagon = "5 mm", milled = "6 mm"'),
    "square": END.format(', square = "4.5 mm", milled = "6 mm"'),
    "cross-hole": END.format(', cross_hole = "2 mm", cross_hole_at = "4 mm"'),
    "threaded": END.format("") + 'far_tip = { diameter = "4 mm", length = "8 mm", thread = "M4" }\n',
    "two-steps": END.format("") + 'far_tip = { diameter = "4 mm", length = "6 mm", chamfer = "0.4 mm" }\n',
    "bored": END.format("") + 'bore = "3 mm"\n',
}
FRONT = (
    '[motor.front]\npilot_diameter = "8 mm"\npilot_height = "1.5 mm"\nshaft_diameter = "3 mm"\n'
    'shaft_length = "10 mm"\nhole = "1.6 mm"\nhole_circle = "12 mm"\nholes = 2\n'
)
BRUSHED = '[motor]\nkind = "brushed"\ndiameter = "16 mm"\nlength = "30 mm"\n'
STEPPER = '[motor]\nkind = "stepper"\nframe = "{}"\nlength = "34 mm"\n'
CONNECTOR = (
    '[motor.connector]\nwidth = "12 mm"\nheight = "5 mm"\nlength = "8 mm"\nfrom_rear = "2 mm"\nside = "+y"\n'
)
TERMINALS = '[motor.terminals]\nspacing = "8 mm"\nwidth = "2.8 mm"\nthickness = "0.5 mm"\nlength = "5 mm"\n'
ENCODER = '[motor.encoder]\ndiameter = "15.5 mm"\nlength = "8 mm"\n'
CABLE = '[service.cable]\ndiameter = "3 mm"\nbend_factor = 4\nbend = [0, -1, 0]\n'
LIP = '[seal]\nkind = "lip"\ndiameter = "14 mm"\nbore = "9 mm"\nlength = "4 mm"\n'
BELLOWS = (
    SCREW
    + NUT.replace("9 mm", "20 mm").replace("12 mm", "6 mm")
    + ROUND
    + ('[seal]\nkind = "bellows"\ndiameter = "16 mm"\nbore = "9 mm"\nlength = "8 mm"\nextended = "30 mm"\n')
)
COVER = '[motor.cover]\ndiameter = "20 mm"\nlength = "24 mm"\nwall = "1 mm"\n'
APART = SCREW + 'position = "16 mm"\n'
MOTORS = {
    "brushed": APART + BRUSHED + FRONT + TERMINALS,
    "brushless-encoder": APART + BRUSHED.replace("brushed", "brushless") + FRONT + ENCODER + CABLE,
    "cable-askew": SCREW
    + BRUSHED
    + ENCODER
    + CABLE.replace("[0, -1, 0]", "[0, 0, -1]").replace("bend =", "direction = [2, -2, -1]\nbend ="),
    "covered-sealed": SCREW + BRUSHED + ENCODER + COVER + LIP + CABLE,
    "hollow": SCREW + 'position = "-20 mm"\n' + BRUSHED.replace("16 mm", "24 mm") + 'bore = "10 mm"\n',
    **{
        f"stepper-{size}": (SCREW if size > 11 else SCREW.replace("Tr8x1.5", "M4"))
        + STEPPER.format(f"NEMA {size}")
        + CONNECTOR
        for size in (8, 11, 14, 17, 23, 24)
    },
}
GEARS = '[gears]\ndiameter = "16 mm"\nlength = "16 mm"\n'
EARS = 'ears = { width = "26 mm", depth = "8 mm", thickness = "4 mm", hole = "2.2 mm", spacing = "22 mm" }\n'
MOUNT = (
    '[gears.mount]\npilot_diameter = "10 mm"\npilot_height = "1.5 mm"\npilot_bore = "9 mm"\nbolt = "M1.6"\n'
    'bolt_circle = "13 mm"\nbolt_holes = 3\nbolt_depth = "3 mm"\n'
)
STAGE = '[[gears.stage]]\nsun = 12\nplanet = 12\nring = 36\nplanets = 3\nmodule = "0.3 mm"\n'
SPUR = '[gears.spur]\npinion = 14\nwheel = 42\nmodule = "0.5 mm"\nwidth = "5 mm"\ndirection = [0.5, 1, 0]\n'
MOUNTINGS = {
    "ears": SCREW + GEARS + EARS + BRUSHED,
    "pilot": SCREW + GEARS + MOUNT + BRUSHED,
    "one-stage": SCREW + GEARS + STAGE,
    "two-stages": SCREW + GEARS + STAGE + STAGE,
    "spur": SCREW + "[gears]\n" + SPUR + BRUSHED + ENCODER + CABLE,
    "spur-stage": SCREW + "[gears]\n" + SPUR,
    "spur-behind-planets": SCREW + GEARS + STAGE + SPUR + BRUSHED,
}

BUSH = '[push_rod.guide]\nbore = "14 mm"\ndiameter = "20 mm"\nlength = "12 mm"\nposition = "{}"\n'
RODS = {
    "tube": SCREW
    + NUT
    + ROUND
    + '[push_rod]\ndiameter = "14 mm"\nbore = "9 mm"\nlength = "34 mm"\n'
    + BUSH.format("32 mm"),
    "on-travelling-screw": SCREW
    + BRUSHED.replace("16 mm", "24 mm")
    + NO_NUT
    + '[push_rod]\ndiameter = "14 mm"\nlength = "30 mm"\n'
    + BUSH.format("34 mm"),
}


def designs() -> dict[str, str]:
    """The text of every design that is rendered, by its picture's name."""
    nuts = {f"nut-{name}": HEAD + SCREW + NUT + text for name, text in NUTS.items()}
    ends = {f"end-{name}": HEAD + SCREW + text + NO_NUT for name, text in ENDS.items()}
    rest = {
        **{f"thread-{name}": text for name, text in THREADS.items()},
        **{f"motor-{name}": text for name, text in MOTORS.items()},
        **{f"gear-{name}": text for name, text in MOUNTINGS.items()},
    }
    travels = HEAD.rstrip() + '\nturns = "nut"\ntravels = "screw"\n'
    rods = {f"rod-{name}": (travels if "travelling" in name else HEAD) + text for name, text in RODS.items()}
    rods["seal-bellows"] = HEAD + BELLOWS + BRUSHED
    balls = {"nut-ball": HEAD + BALL_NUT, "nut-ball-inside": HEAD + BALL_NUT}
    return nuts | balls | rods | ends | {name: HEAD + text + NO_NUT for name, text in rest.items()}


def parts(design: Design, name: str) -> list[tuple[Mesh, tuple[float, ...]]]:
    """The meshes and colours of what the picture shows; of a stage its members, of a nut also its screw."""
    placement = place(design)
    if name.startswith("gear-") and "stage" in name:
        solids = solids_of(design, placement, detailed=True)
        return [(mesh_of_solid(s, TOLERANCE), b.colour) for b, s in solids if b.source == "teeth"]
    if name == "nut-ball-inside":
        solids = solids_of(design, placement, detailed=True)
        return [(mesh_of_solid(s, TOLERANCE), b.colour) for b, s in solids if b.name != "nut"]
    shown = [
        placed for placed in placement.bodies if not (name.startswith("nut") and placed.body.name == "screw")
    ]
    return [(part_mesh(design, placed, TOLERANCE), placed.body.colour) for placed in shown]


def actors(mesh: Mesh, colour: tuple[float, ...]) -> list[Any]:
    """The part, and its sharp edges as lines."""
    import vtk
    from vtk.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray

    points, cells, data = vtk.vtkPoints(), vtk.vtkCellArray(), vtk.vtkPolyData()
    points.SetData(numpy_to_vtk(np.ascontiguousarray(mesh.vertices), deep=True))
    offsets = np.arange(0, 3 * len(mesh.triangles) + 1, 3)
    corners = np.ascontiguousarray(mesh.triangles.ravel().astype(np.int64))
    cells.SetData(numpy_to_vtkIdTypeArray(offsets, deep=True), numpy_to_vtkIdTypeArray(corners, deep=True))
    data.SetPoints(points)
    data.SetPolys(cells)
    normals, edges = vtk.vtkPolyDataNormals(), vtk.vtkFeatureEdges()
    for step in (normals, edges):
        step.SetInputData(data)
        step.SetFeatureAngle(25.0)
    edges.ColoringOff()
    made = []
    for step, shade in ((normals, colour[:3]), (edges, (0.1, 0.1, 0.1))):
        mapper, actor = vtk.vtkPolyDataMapper(), vtk.vtkActor()
        mapper.SetInputConnection(step.GetOutputPort())
        mapper.ScalarVisibilityOff()
        actor.SetMapper(mapper)
        actor.GetProperty().SetColor(*shade)
        actor.GetProperty().SetAmbient(0.25)
        made.append(actor)
    return made


def render(shown: list[tuple[Mesh, tuple[float, ...]]], file: Path, view: tuple[float, ...]) -> None:
    """Write one picture, seen from a direction."""
    import vtk

    renderer, window = vtk.vtkRenderer(), vtk.vtkRenderWindow()
    renderer.SetBackground(1.0, 1.0, 1.0)
    for mesh, colour in shown:
        for actor in actors(mesh, colour):
            renderer.AddActor(actor)
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(0)
    renderer.UseFXAAOn()
    window.SetSize(*SIZE)
    window.AddRenderer(renderer)
    camera = renderer.GetActiveCamera()
    camera.SetPosition(*view)
    camera.SetViewUp(0.0, 1.0, 0.0)
    renderer.ResetCamera()
    camera.Zoom(1.1)
    window.Render()
    grab, writer = vtk.vtkWindowToImageFilter(), vtk.vtkPNGWriter()
    grab.SetInput(window)
    writer.SetInputConnection(grab.GetOutputPort())
    writer.SetFileName(str(file))
    writer.Write()


def sheet(files: list[Path], target: Path) -> None:
    """Lay the pictures out on one sheet, row by row from the top."""
    import vtk
    from vtk.util.numpy_support import numpy_to_vtk, vtk_to_numpy

    width, height = SIZE
    rows = -(-len(files) // COLUMNS)
    canvas = np.full((rows * height, COLUMNS * width, 3), 255, dtype=np.uint8)
    for index, file in enumerate(files):
        reader = vtk.vtkPNGReader()
        reader.SetFileName(str(file))
        reader.Update()
        pixels = vtk_to_numpy(reader.GetOutput().GetPointData().GetScalars()).reshape(height, width, -1)
        row, column = rows - 1 - index // COLUMNS, index % COLUMNS
        canvas[row * height : (row + 1) * height, column * width : (column + 1) * width] = pixels[..., :3]
    image, writer = vtk.vtkImageData(), vtk.vtkPNGWriter()
    image.SetDimensions(COLUMNS * width, rows * height, 1)
    image.GetPointData().SetScalars(numpy_to_vtk(canvas.reshape(-1, 3), deep=True))
    writer.SetInputData(image)
    writer.SetFileName(str(target))
    writer.Write()


def main(folder: str, *names: str) -> None:
    """Render the designs, or those whose names are given."""
    target = Path(folder)
    target.mkdir(parents=True, exist_ok=True)
    files = []
    for name, text in designs().items():
        if names and name not in names:
            continue
        files.append(target / f"{name}.png")
        from_behind = name.endswith(("covered-sealed", "brushed", "flanged-away", "flanged-two-sided"))
        front = (1.6, 0.9, -1.2) if from_behind else (1.2, 0.9, 1.6)
        render(parts(read_text(text), name), files[-1], front)
        print(files[-1])
    sheet(files, target / "sheet.png")


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit(__doc__)
    main(*sys.argv[1:])
