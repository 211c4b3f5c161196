"""Random threads for the property tests: a known size or an invented outline, any starts, hand and ends."""

from dataclasses import replace

from hypothesis import strategies as st

from geometry.outlines import Corner, outline
from geometry.thread_ends import Journal
from geometry.threads import families, thread

DESIGNATIONS = [size.designation for family in families() for size in family.sizes]


@st.composite
def threads(draw):
    """A known size, as it stands or with another outline, of any starts and hand."""
    made = thread(draw(st.sampled_from(DESIGNATIONS)))
    starts = draw(st.integers(1, 8))
    if draw(st.booleans()):
        made = replace(made, external=draw(outlines(made)))
    hand = draw(st.sampled_from(["right", "left"]))
    return replace(made, starts=starts, lead_mm=starts * made.pitch_mm, hand=hand)


@st.composite
def outlines(draw, made):
    """An asymmetric outline: crest, two flanks of their own widths, a flat or a round root."""
    pitch, crest = made.pitch_mm, made.major_diameter_mm / 2
    depth = draw(st.floats(0.2, 0.7)) * pitch
    parts = [draw(st.floats(0.1, 1.0)) for _ in range(4)]
    a, b, c = (pitch * sum(parts[:n]) / sum(parts) for n in (1, 2, 3))
    low = crest - depth
    root = Corner((c, low), ((b + c) / 2, low - 0.2 * (c - b))) if draw(st.booleans()) else Corner((c, low))
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
    )
    ends = {"near_journal": draw(journal), "far_journal": draw(journal)}
    return made, length, {**ends, "ends": draw(st.sampled_from(["plain", "chamfered"]))}
