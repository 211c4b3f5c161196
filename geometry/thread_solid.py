"""Thread solids as exact boundary representations: rods with ends and journals, and threaded bores."""

from __future__ import annotations

from typing import TYPE_CHECKING

from geometry.errors import ShapeError
from geometry.thread_ends import EndForm, Journal, ThreadedLength, ThreadEnd, threaded_bore, threaded_rod
from geometry.thread_limits import Material, sized
from geometry.threads import Thread, thread

if TYPE_CHECKING:
    import cadquery
    from OCP.TopoDS import TopoDS_Face, TopoDS_Solid


def thread_solid(
    designation: str,
    length_mm: float,
    *,
    ends: EndForm = "plain",
    tolerance_class: str = "",
    size: Material = "nominal",
) -> cadquery.Solid:
    """A threaded rod from z = 0 to its length (mm) as a cadquery Solid, both ends plain or chamfered.

    Its size is nominal, or the maximum-material or minimum-material limit of a class such as "6g". Raises
    InputError for an unknown designation or class and ShapeError for a length that makes no rod. Source of
    the sizes: the family's standard; of the construction: closed form, volume within 1e-6.
    """
    import cadquery

    made = sized(thread(designation), tolerance_class, size)
    return cadquery.Solid(rod_solid(made, length_mm, ends=ends))


def rod_solid(
    thread: Thread,
    length_mm: float,
    *,
    ends: EndForm = "plain",
    near_journal: Journal | None = None,
    far_journal: Journal | None = None,
) -> TopoDS_Solid:
    """A threaded rod from z = 0 to its length (mm), journals beyond; ends and errors as of `threaded_rod`."""
    rod = threaded_rod(thread, length_mm, ends=ends, near_journal=near_journal, far_journal=far_journal)
    return solid_of(rod)


def solid_of(rod: ThreadedLength) -> TopoDS_Solid:
    """The solid of a threaded rod."""
    from geometry import thread_brep as brep
    from geometry.thread_caps import rod_end
    from geometry.thread_skin import thread_skin

    skin = thread_skin(rod)
    caps = [*rod_end(rod.near, skin.near, far=False), *rod_end(rod.far, skin.far, far=True)]
    made = brep.solid([*skin.faces, *caps])
    return made if rod.thread.hand == "right" else _mirrored(made)


def nut_solid(
    outer: TopoDS_Solid, thread: Thread, z0: float, z1: float, *, ends: EndForm = "plain"
) -> TopoDS_Solid:
    """A nut: a solid without a bore, threaded along the z axis between its plane faces at z0 and z1 (mm).

    Its thread mates with a rod's in the same frame. Raises ShapeError where the outer solid has no such faces
    or the bore does not fit in them, and as `threaded_bore` does.
    """
    bore = threaded_bore(thread, z0, z1, ends=ends)
    if thread.hand == "right":
        return _threaded(outer, bore)
    return _mirrored(_threaded(_mirrored(outer), bore))


def _threaded(outer: TopoDS_Solid, bore: ThreadedLength) -> TopoDS_Solid:
    from geometry import thread_brep as brep
    from geometry.thread_caps import bore_end
    from geometry.thread_skin import thread_skin

    faces = _faces(outer)
    near, far = (_end_face(faces, end.height_mm, _mouth_radius(bore, end)) for end in (bore.near, bore.far))
    skin = thread_skin(bore)
    near_faces, near_hole = bore_end(bore.near, skin.near, far=False)
    far_faces, far_hole = bore_end(bore.far, skin.far, far=True)
    kept = [face for face in faces if not face.IsSame(near) and not face.IsSame(far)]
    ends = [brep.with_hole(near, near_hole), brep.with_hole(far, far_hole)]
    bored = [face.Oriented(brep.REVERSED) for face in skin.faces]
    return brep.solid([*kept, *ends, *bored, *near_faces, *far_faces])


def _mouth_radius(bore: ThreadedLength, end: ThreadEnd) -> float:
    return end.mouth_radius_mm or bore.outline.largest_radius_mm


def _faces(outer: TopoDS_Solid) -> list[TopoDS_Face]:
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    faces = []
    explorer = TopExp_Explorer(outer, TopAbs_ShapeEnum.TopAbs_FACE)
    while explorer.More():
        faces.append(TopoDS.Face_s(explorer.Current()))
        explorer.Next()
    return faces


def _end_face(faces: list[TopoDS_Face], z: float, radius: float) -> TopoDS_Face:
    """The plane face across the axis at z that holds the whole mouth of the bore."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.BRepClass import BRepClass_FaceClassifier
    from OCP.GeomAbs import GeomAbs_SurfaceType
    from OCP.gp import gp_Pnt
    from OCP.TopAbs import TopAbs_State

    for face in faces:
        surface = BRepAdaptor_Surface(face)
        if surface.GetType() != GeomAbs_SurfaceType.GeomAbs_Plane:
            continue
        plane = surface.Plane()
        level = abs(abs(plane.Axis().Direction().Z()) - 1) < 1e-9 and abs(plane.Location().Z() - z) < 1e-6
        if (
            not level
            or BRepClass_FaceClassifier(face, gp_Pnt(0, 0, z), 1e-6).State() != TopAbs_State.TopAbs_IN
        ):
            continue
        room = _room(face, z)
        if room <= radius + 1e-6:
            raise ShapeError(
                f"the thread's mouth of radius {radius:.3f} mm does not fit the nut's end face at z {z:g}, "
                f"whose edge comes within {room:.3f} mm of the axis",
                f"make the nut at least {2 * radius:.2f} mm wide there, or take a smaller thread",
            )
        return face
    raise ShapeError(
        f"the nut's body has no plane face across the axis at z {z:g} mm without a bore",
        "give a solid body whose end faces lie at both ends of the thread",
    )


def _room(face: TopoDS_Face, z: float) -> float:
    """Distance from the axis to the nearest edge of an end face (mm)."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape
    from OCP.gp import gp_Pnt
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer

    centre = BRepBuilderAPI_MakeVertex(gp_Pnt(0, 0, z)).Vertex()
    distances: list[float] = []
    explorer = TopExp_Explorer(face, TopAbs_ShapeEnum.TopAbs_EDGE)
    while explorer.More():
        distances.append(BRepExtrema_DistShapeShape(centre, explorer.Current()).Value())
        explorer.Next()
    return min(distances)


def _mirrored(shape: TopoDS_Solid) -> TopoDS_Solid:
    """The mirror image across the plane y = 0: a right-hand thread becomes a left-hand one."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf
    from OCP.TopoDS import TopoDS

    mirror = gp_Trsf()
    mirror.SetMirror(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(0, 1, 0)))
    return TopoDS.Solid_s(BRepBuilderAPI_Transform(shape, mirror, True).Shape())
