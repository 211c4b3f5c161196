"""Random design files for the property tests: screws with their ends, nuts, motors with what is on them."""

from hypothesis import strategies as st

from geometry.screw_ends import circlips
from geometry.threads import thread

SLIDING = ["M3", "M4x0.5", "M6", "Tr8x1.5", "Tr8x8(P2) LH", "Tr10x2", "Tr12x3 LH", "S10x2", "Sq8x1.5"]
SLIDING += ["1/4-16 ACME"]
BALLS = ["Ball8x2", "Ball10x2 LH", "Ball8x2 arc"]
THREADS = [*SLIDING, *BALLS]
TIPS = {"M2": 2.0, "M3": 3.0, "M4": 4.0, "M5": 5.0, "M6": 6.0}
HEAD = '[motion]\nstroke = "0..1 mm"\nspeed = "10 mm/s"\nmass = "0.1 kg"\n'
NO_NUT = '[nut]\nfriction = 0.15\nlength = "1 mm"\nkind = "none"\n'


def sizes(low, high):
    return st.floats(low, high).map(lambda value: round(value, 2))


def table(name, **fields):
    lines = (
        f'{key} = "{value} mm"' if not isinstance(value, str) else f"{key} = {value}"
        for key, value in fields.items()
    )
    return f"{name} = {{ {', '.join(lines)} }}\n"


@st.composite
def steps(draw, name, major):
    """One turned step with one of what can be on it."""
    diameter, length = draw(sizes(0.35 * major, 1.3 * major)), draw(sizes(5.0, 12.0))
    kind = draw(
        st.sampled_from(["plain", "chamfer", "circlip", "flat", "hexagon", "square", "hole", "thread"])
    )
    if kind == "chamfer":
        return table(name, diameter=diameter, length=length, chamfer=draw(sizes(0.1, 0.5)))
    if kind == "circlip":
        shaft = min(circlips(), key=lambda known: abs(known - diameter))
        return table(name, diameter=shaft, length=length, circlip=round(length * draw(sizes(0.2, 0.7)), 2))
    if kind in ("flat", "hexagon", "square"):
        across = round(diameter * draw(sizes(0.6, 0.95)), 2)
        return table(name, diameter=diameter, length=length, **{kind: across}, milled=draw(sizes(1.0, 9.0)))
    if kind == "hole":
        hole = round(diameter * draw(sizes(0.1, 0.8)), 2)
        return table(
            name, diameter=diameter, length=length, cross_hole=hole, cross_hole_at=draw(sizes(0.5, 8.0))
        )
    if kind == "thread":
        tip = draw(st.sampled_from(sorted(TIPS)))
        return table(name, diameter=TIPS[tip], length=length, thread=f'"{tip}"')
    return table(name, diameter=diameter, length=length)


@st.composite
def screws(draw):
    designation = draw(st.sampled_from(THREADS))
    made = thread(designation)
    length = draw(sizes(1.0, 5.0)) * made.lead_mm + 4 * made.pitch_mm
    text = f'[screw]\nthread = "{designation}"\nlength = "{length:.3f} mm"\n'
    for name in ("near_journal", "far_journal", "far_tip"):
        if draw(st.booleans()):
            text += draw(steps(name, made.major_diameter_mm))
    if draw(st.booleans()):
        text += f'thread_ends = "{draw(st.sampled_from(["plain", "chamfered"]))}"\n'
    if draw(st.booleans()):
        text += f'bore = "{round(made.root_diameter_mm * draw(sizes(0.1, 0.8)), 2)} mm"\n'
        if draw(st.booleans()):
            text += f'bore_depth = "{draw(sizes(1.0, 20.0))} mm"\n'
    return HEAD + text + NO_NUT


@st.composite
def nuts(draw):
    designation = draw(st.sampled_from(draw(st.sampled_from([SLIDING, SLIDING, BALLS]))))
    made = thread(designation)
    mouth = made.internal_major_diameter_mm + 0.3 * made.pitch_mm
    body, length = round(mouth + draw(sizes(0.5, 9.0)), 2), 2 * made.lead_mm + draw(sizes(2.0, 12.0))
    text = f'position = "{draw(sizes(0.0, 9.0))} mm"\nlength = "{length:.3f} mm"\n'
    kinds = ["round", "flats", "key", "square", "flanged"]
    kind = draw(st.sampled_from(kinds if designation in SLIDING else ["round", "flanged"]))
    if kind == "square":
        text += f'kind = "square"\nacross_flats = "{body} mm"\n'
        text += f'body_diameter = "{round(body * 1.2, 2)} mm"\n' if draw(st.booleans()) else ""
    else:
        text += f'body_diameter = "{body} mm"\n'
    if kind == "flats":
        text += f'across_flats = "{round(body * draw(sizes(0.7, 0.98)), 2)} mm"\n'
    if kind == "key":
        text += table("key", width=round(body * draw(sizes(0.1, 0.9)), 2), height=draw(sizes(0.2, 3.0)))
    if kind == "flanged":
        text += draw(flanges(body))
    screw = f'[screw]\nthread = "{designation}"\nlength = "{length + 30:.3f} mm"\n'
    more = draw(ball_circuits(body, length)) if designation in BALLS else ""
    if designation in SLIDING and draw(st.booleans()):
        text += f'second = {{ length = "{2 * made.lead_mm + draw(sizes(1.0, 6.0)):.3f} mm", '
        text += f'spring_length = "{draw(sizes(1.0, 6.0))} mm", spring_diameter = "{body} mm", '
        text += f'spring_bore = "{made.major_diameter_mm + 0.2:.3f} mm" }}\n'
    return HEAD + screw + "[nut]\nfriction = 0.15\n" + text + more


@st.composite
def flanges(draw, body):
    flange, hole = round(body + draw(sizes(1.0, 20.0)), 2), draw(sizes(0.5, 4.0))
    text = f'kind = "flanged"\nflange_diameter = "{flange} mm"\n'
    text += f'flange_thickness = "{draw(sizes(0.5, 3.0))} mm"\n'
    text += f'flange = "{draw(st.sampled_from(["toward motor", "away from motor"]))}"\n'
    if draw(st.booleans()):
        text += f'bolt_circle = "{round((body + flange) / 2, 2)} mm"\n'
        text += f"bolt_holes = {draw(st.integers(1, 8))}\n"
        text += f'bolt_hole = "{hole} mm"\n' if draw(st.booleans()) else 'bolt = "M2"\n'
    if draw(st.booleans()):
        text += f'flange_flats = "{round(flange * draw(sizes(0.6, 0.98)), 2)} mm"\n'
    return text


@st.composite
def ball_circuits(draw, body, length):
    """The balls of a ball nut, shown or not, and the cap of their return."""
    text = '[nut.balls]\ndynamic_load = "3 kN"\n'
    text += "shown = true\nturns = 1.0\n" if draw(st.booleans()) else ""
    if draw(st.booleans()):
        width, along = round(body * draw(sizes(0.1, 0.9)), 2), round(length * draw(sizes(0.2, 0.9)), 2)
        text += table("cap", width=width, height=draw(sizes(0.2, 4.0)), length=along)
    return text


@st.composite
def motors(draw):
    length, width = draw(sizes(10.0, 60.0)), draw(sizes(12.0, 60.0))
    size = draw(
        st.sampled_from([f'diameter = "{width} mm"', f'square = "{width} mm"'])
        | st.sampled_from([8, 11, 14, 17, 23, 24]).map(lambda frame: f'frame = "NEMA {frame}"')
    )
    text = f'[motor]\n{size}\nlength = "{length} mm"\n'
    text += f'bore = "{draw(sizes(1.0, 10.0))} mm"\n' if draw(st.booleans()) else ""
    if draw(st.booleans()):
        text += "[motor.front]\n" + "".join(
            f'{name} = "{value} mm"\n'
            for name, value in {
                "pilot_diameter": draw(sizes(9.0, 30.0)), "pilot_height": draw(sizes(0.5, 3.0)),
                "shaft_diameter": draw(sizes(1.0, 8.0)), "shaft_length": draw(sizes(4.0, 20.0)),
                "hole": draw(sizes(1.0, 4.0)), "hole_circle": draw(sizes(12.0, 60.0)),
            }.items()
        ) + f"holes = {draw(st.integers(1, 6))}\n"  # fmt: skip
    if draw(st.booleans()):
        text += "[motor.connector]\n" + "".join(
            f'{name} = "{draw(sizes(1.0, 12.0))} mm"\n' for name in ("width", "height", "length", "from_rear")
        ) + f'side = "{draw(st.sampled_from(["+x", "-x", "+y", "-y"]))}"\n'  # fmt: skip
    if draw(st.booleans()):
        text += '[motor.terminals]\nspacing = "6 mm"\nwidth = "2 mm"\nthickness = "0.5 mm"\nlength = "4 mm"\n'
    if draw(st.booleans()):
        text += f'[motor.encoder]\ndiameter = "{draw(sizes(5.0, 20.0))} mm"\n'
        text += f'length = "{draw(sizes(2.0, 9.0))} mm"\n'
    if draw(st.booleans()):
        text += '[motor.cover]\ndiameter = "70 mm"\n'
        text += f'length = "{draw(sizes(3.0, 30.0))} mm"\nwall = "{draw(sizes(0.5, 2.0))} mm"\n'
    text += draw(beside_the_motor())
    screw = f'[screw]\nthread = "M6"\nlength = "30 mm"\nposition = "{draw(st.sampled_from([0, 25]))} mm"\n'
    return HEAD + screw + text + NO_NUT


@st.composite
def beside_the_motor(draw):
    """A gear as bought with its ears, a seal on its face or the motor's, a cable."""
    text = ""
    if draw(st.booleans()):
        text += '[gears]\nratio = 4\ndiameter = "16 mm"\nlength = "26 mm"\n'
        if draw(st.booleans()):
            text += 'ears = { width = "26 mm", depth = "8 mm", thickness = "4 mm", hole = "2.2 mm", '
            text += 'spacing = "22 mm" }\n'
    if draw(st.booleans()):
        text += f'[seal]\nkind = "lip"\nbore = "{draw(sizes(6.0, 8.0))} mm"\n'
        text += f'diameter = "{draw(sizes(9.0, 20.0))} mm"\nlength = "{draw(sizes(1.0, 6.0))} mm"\n'
    if draw(st.booleans()):
        direction = draw(st.sampled_from(["[0, 0, -1]", "[0, 1, 0]", "[-1, 0, 0]"]))
        text += f'[service.cable]\ndiameter = "{draw(sizes(1.0, 5.0))} mm"\ndirection = {direction}\n'
    return text
