"""Random threads for the property tests: any family's, or of an invented outline, start, hand and end."""

from dataclasses import replace

from hypothesis import strategies as st

from geometry.outlines import Corner, outline
from geometry.own_thread import outline_thread, symmetric_points
from geometry.thread_ends import Journal
from geometry.thread_limits import sized
from geometry.threads import families, family_thread, thread

# One family at a time, so that one with many sizes does not crowd out the others.
BY_FAMILY = [[size.designation for size in family.sizes] for family in families()]
CLASSES = [
    (size.designation, name)
    for family in families()
    for name in family.classes
    for size in family.sizes
    if not size.note.startswith("not in the standard")
]


@st.composite
def any_family(draw):
    """A size of any family, one at a limit of its class, or the fields of a free one."""
    kind = draw(st.sampled_from(["size", "size", "limit", "square", "ball", "own"]))
    if kind == "size":
        return thread(draw(st.sampled_from(draw(st.sampled_from(BY_FAMILY)))))
    if kind == "limit":
        designation, name = draw(st.sampled_from(CLASSES))
        return sized(
            thread(designation), name, draw(st.sampled_from(["maximum-material", "minimum-material"]))
        )
    pitch = draw(st.floats(0.5, 12.0))
    diameter = pitch * draw(st.floats(2.5, 8.0))
    if kind == "square":
        return family_thread("square", diameter, pitch)
    if kind == "ball":
        return family_thread(
            "ball groove",
            diameter,
            pitch,
            form=draw(st.sampled_from(["gothic", "arc"])),
            ball_mm=pitch * draw(st.floats(0.2, 0.8)),
            conformity=draw(st.floats(0.515, 0.6)),
            contact_angle_deg=draw(st.floats(30.0, 60.0)),
        )
    depth = pitch * draw(st.floats(0.2, 0.6))
    flanks = (draw(st.floats(0.0, 20.0)), draw(st.floats(0.0, 30.0)))
    points = symmetric_points(pitch, depth, pitch * draw(st.floats(0.1, 0.35)), flanks)
    radii = draw(st.sampled_from([0.0, 0.02])) * pitch
    return outline_thread(diameter, pitch, points, radii_mm=(radii,) * len(points), clearance_mm=0.02 * pitch)


@st.composite
def threads(draw):
    """A known size, as it stands or with another outline, of any starts and hand."""
    made = draw(any_family())
    starts = draw(st.integers(1, 8))
    if draw(st.booleans()):
        made = replace(made, external=draw(outlines(made)))
    hand = draw(st.sampled_from(["right", "left"]))
    return replace(made, starts=starts, lead_mm=starts * made.pitch_mm, hand=hand)


@st.composite
def outlines(draw, made):
    """An asymmetric outline: crest, two flanks of their own widths, a flat or a round root."""
    pitch, crest = made.pitch_mm, made.major_diameter_mm / 2
    # A ball screw's pitch may be as large as its diameter: the outline must leave a core.
    depth = draw(st.floats(0.2, 0.7)) * min(pitch, 0.7 * crest)
    parts = [draw(st.floats(0.1, 1.0)) for _ in range(4)]
    a, b, c = (pitch * sum(parts[:n]) / sum(parts) for n in (1, 2, 3))
    low = crest - depth
    root = (
        Corner((c, low), ((b + c) / 2, low - min(0.2 * (c - b), 0.1 * crest)))
        if draw(st.booleans())
        else Corner((c, low))
    )
    return outline((0.0, crest), [Corner((a, crest)), Corner((b, low)), root, Corner((pitch, crest))])


@st.composite
def rods(draw, most_turns):
    made = draw(threads())
    # Faces grow with turns and starts; deep outlines need more than their cones to leave a crest.
    turns = draw(st.floats(0.5, most_turns / made.starts))
    length = max(turns * made.lead_mm, 3.0 * made.pitch_mm)
    journal = st.none() | st.builds(
        Journal,
        st.floats(0.3, 1.5).map(lambda share: share * made.major_diameter_mm),
        st.floats(0.5, 10.0),
        st.sampled_from([0.0, 0.1]),
        st.none(),
    )
    ends = {"near_journal": draw(journal), "far_journal": draw(journal)}
    return made, length, {**ends, "ends": draw(st.sampled_from(["plain", "chamfered"]))}
