"""Everything that `make` writes, in order: STEP, STL, mock-up, results, manifest; whole files or none."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from calcs.check_design import CheckReport, check_design
from calcs.fit_design import fit_placement
from calcs.measured import measured
from exports.assembly import assembly_tree, group_of, prefix
from exports.documents import as_text, check_document, fit_document, head, worst
from exports.files import output_folder, write_text
from exports.manifest import Made, listed_files, write_manifest
from exports.stl import write_stl
from exports.tables import checks_csv, pairs_csv
from geometry.bodies import Body
from geometry.errors import InputError, Problem
from geometry.gear_train import teeth_notes
from geometry.meshes import Mesh
from geometry.placed import Placement, place
from geometry.spur_train import spur_notes
from geometry.stack import classes_of, contacts_of, travel_of

if TYPE_CHECKING:
    from calcs.case import Case
    from calcs.fit import FitReport
    from exports.console import Progress
    from geometry.design import Design

STL_TOLERANCE = 0.005  # mm; below what a printer or a viewer shows


@dataclass(frozen=True)
class MakeReport:
    """What a run of `make` wrote and found."""

    folder: Path
    files: tuple[Made, ...]
    left_over: tuple[str, ...]
    check: dict[str, Any]
    fit: dict[str, Any]
    verdict: str


@dataclass(frozen=True, eq=False)
class _Run:
    """What every kind of file is made from."""

    design: Design
    placement: Placement
    case: Case
    check: dict[str, Any]
    fit: dict[str, Any]
    with_housing: bool
    folder: Path

    @property
    def stem(self) -> str:
        """What the file names start with: the document's number and revision, or the file's name."""
        revision = self.design.document.revision
        return prefix(self.design) + (f"-{revision}" if revision and self.design.document.number else "")


def make_files(
    design: Design,
    folder: Path,
    *,
    only: Sequence[str] = (),
    with_housing: bool = False,
    progress: Progress | None = None,
) -> MakeReport:
    """Write the files of a design into a folder, also when a check fails; each whole, or none at all.

    `only` keeps some of KINDS. Raises InputError for a design or a file of it that cannot be used, for an
    unknown kind, and where the folder cannot be written.
    """
    wanted = _wanted(only)
    placement = place(design)
    checks: CheckReport = check_design(design, measured(design, placement), flips=True)
    report: FitReport = fit_placement(design, placement, progress=progress)
    check = check_document(design, checks.results, checks.verdict, checks.unused_sections, checks.screws)
    fit = fit_document(design, report)
    earlier = listed_files(folder)
    with output_folder(folder) as work:
        run = _Run(design, placement, checks.case, check, fit, with_housing, work)
        made: list[Made] = []
        for done, kind in enumerate(wanted):
            if progress is not None:
                progress(f"writing {kind}", done, len(wanted))
            made += KINDS[kind](run)
        write_manifest(work, head(design), made)
    verdict = worst([checks.verdict, report.verdict])
    return MakeReport(folder, tuple(made), _left_over(earlier, made), check, fit, verdict)


def _left_over(earlier: Sequence[str], made: Sequence[Made]) -> tuple[str, ...]:
    return tuple(sorted(set(earlier) - {record.file for record in made}))


def _wanted(only: Sequence[str]) -> tuple[str, ...]:
    unknown = [kind for kind in only if kind not in KINDS]
    if unknown:
        raise InputError(
            Problem(
                f"make has no kind {', '.join(unknown)}", f"give some of {','.join(KINDS)}", field="--only"
            )
        )
    return tuple(kind for kind in KINDS if not only or kind in only)


def _step(run: _Run) -> Iterator[Made]:
    """Two assemblies: light threads for neighbours, real threads for who needs them."""
    from exports.step import write_step

    document = run.design.document
    for detail, note in (
        ("light", "threads as plain cylinders at the major diameter; true masses in results/parts.csv"),
        ("detailed", "real threads, and gear teeth where they are known"),
    ):
        tree = assembly_tree(
            run.design, run.placement, detailed=detail == "detailed", with_housing=run.with_housing
        )
        name = f"{run.stem}-{detail}.step"
        said = write_step(
            run.folder / name,
            tree,
            title=run.design.title,
            date=document.date or "",
            author=document.author or "",
        )
        teeth = (*teeth_notes(run.design), *spur_notes(run.design)) if detail == "detailed" else ()
        yield Made(name, "step", ("solids at s = 0",), notes=(note, *teeth, *said))


def _stl(run: _Run) -> Iterator[Made]:
    """Each part of the actuator, teeth included, each body that moves, and the room that all movers sweep."""
    from calcs.clearance_stretch import rigid
    from calcs.keepout import keep_out
    from exports.part_meshes import part_meshes

    (run.folder / "stl").mkdir()
    low, high = travel_of(run.design)
    movers = [p for p in rigid(_meshed(run.placement), (low, high)) if p[0].moves]
    for placed in run.placement.bodies:
        if group_of(placed.body) not in ("surroundings", "room"):
            for name, mesh in part_meshes(run.design, placed, STL_TOLERANCE):
                yield _stl_file(run, name, mesh, f"body {name} at s = 0")
    swept = keep_out(movers, (low, high), tolerance=STL_TOLERANCE)
    names = ", ".join(body.name for body, _ in movers)
    yield _stl_file(run, "keep-out", swept, f"{names} swept from s = {low:g} to {high:g} mm")


def _meshed(placement: Placement) -> list[tuple[Body, Mesh]]:
    return [(placed.body, placed.mesh) for placed in placement.bodies]


def _stl_file(run: _Run, name: str, mesh: Mesh, source: str) -> Made:
    said = write_stl(run.folder / "stl" / f"{name}.stl", mesh)
    return Made(f"stl/{name}.stl", "stl", (source,), chord_error=mesh.chord_error, notes=("in mm", *said))


def _mockup(run: _Run) -> Iterator[Made]:
    """The parts to print, with the notes that belong to them."""
    from calcs.clearance_stretch import rigid
    from exports.mockup import MockupThread, mockup_parts
    from exports.part_meshes import screw_mesh
    from exports.print_fit import print_fit
    from geometry.screw_thread import thread_of

    given, record = run.design.print, thread_of(run.design.screw)
    bodies = list(rigid(_meshed(run.placement), travel_of(run.design)))
    mockup = mockup_parts(
        bodies,
        contacts_of(run.design),
        classes_of(run.design),
        travel_of(run.design),
        print_fit(given.process, given.nozzle, given.clearance, given.bed),
        MockupThread(
            record.designation,
            record.pitch_mm,
            record.major_diameter_mm,
            screw_mesh(run.design, STL_TOLERANCE),
        ),
        label=run.stem,
    )
    (run.folder / "mockup").mkdir()
    lines = [f"Mock-up of {run.design.title} ({run.stem})", "", *mockup.notes]
    if given.layer is not None:
        lines.append(f"Heights come out in steps of a layer, {given.layer:g} mm, standing as placed here")
    for part in mockup.parts:
        name = f"mockup/{run.stem}-{part.name}.stl"
        said = write_stl(run.folder / name, part.mesh)
        lines += ["", f"{part.name}: {name}", *(f"  {note}" for note in part.notes)]
        yield Made(name, "mockup", ("placed bodies", "[print]"), part.mesh.chord_error, (*part.notes, *said))
    write_text(run.folder / "mockup" / "notes.txt", "\n".join(lines) + "\n")
    yield Made("mockup/notes.txt", "mockup", ("mock-up parts",))


def _results(run: _Run) -> Iterator[Made]:
    """Check and fit as JSON and CSV, parts with their true masses, frames, and both as text."""
    from exports.frames import frames_csv
    from exports.parts import parts_csv
    from exports.text_report import text_report

    weighed = run.case.find("weighed_bodies")
    (run.folder / "results").mkdir()
    texts = {
        "check.json": as_text(run.check),
        "fit.json": as_text(run.fit),
        "checks.csv": checks_csv(run.check["checks"]),
        "pairs.csv": pairs_csv(run.fit["pairs"]),
        "parts.csv": parts_csv(run.design, run.placement, weighed.value if weighed else ()),
        "frames.csv": frames_csv(run.design),
        "report.txt": text_report(run.check, run.fit),
    }
    for name, text in texts.items():
        write_text(run.folder / "results" / name, text)
        yield Made(f"results/{name}", "results", ("check and fit",))


KINDS: dict[str, Callable[[_Run], Iterator[Made]]] = {
    "step": _step,
    "stl": _stl,
    "mockup": _mockup,
    "results": _results,
}
