import pytest

from exports.part21 import canonical, encoded

HEADER = "HEADER;\nENDSEC;\n"


def body(data: str) -> list[str]:
    text = canonical(
        f"ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\n{data}ENDSEC;\nEND-ISO-10303-21;\n".encode(), HEADER
    )
    lines = text.decode("ascii").splitlines()
    assert lines[:4] == ["ISO-10303-21;", "HEADER;", "ENDSEC;", "DATA;"]
    assert lines[-2:] == ["ENDSEC;", "END-ISO-10303-21;"]
    return lines[4:-2]


@pytest.mark.parametrize(
    ("text", "inside"),
    [
        ("nut", "nut"),
        ("it's", "it''s"),
        ("a\\b", "a\\\\b"),
        ("Mütter", "M\\X2\\00FC\\X0\\tter"),
        ("中国", "\\X2\\4E2D56FD\\X0\\"),
        ("😀", "\\X4\\0001F600\\X0\\"),
        ("two\nlines", "two lines"),
    ],
)
def test_strings_are_ascii(text: str, inside: str) -> None:
    assert encoded(text) == inside


def test_references_are_numbered_anew_but_not_inside_strings() -> None:
    assert body("#10 = A('it''s #20; so',#20);\n#20 = B();\n") == ["#1=A('it''s #20; so',#2);", "#2=B();"]


def test_lines_that_the_kernel_broke_are_joined() -> None:
    assert body("#1 = A(\n  'a long na\nme',\n  (1.,2.));\n") == ["#1=A('a long name',(1.,2.));"]


def test_occurrences_are_counted_from_one() -> None:
    kind = "NEXT_ASSEMBLY_USAGE_OCCURRENCE"
    data = f"#1 = {kind}('{{}}','a','',$);\n#2 = {kind}(\n  '{{}}','b','',$);\n"
    assert body(data.format(7, 8)) == body(data.format(1, 2))
    assert body(data.format(7, 8))[1] == "#2=NEXT_ASSEMBLY_USAGE_OCCURRENCE('2','b','',$);"


def test_styles_follow_in_the_order_of_what_they_colour() -> None:
    solids = "#1 = SOLID('a');\n#2 = SOLID('b');\n#9 = SHAPE((#1,#2));\n"
    style = (
        "#{0} = MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(#{1}),$);\n"
        "#{1} = STYLED_ITEM('',(#{2}),#{3});\n#{2} = COLOUR('{4}');\n"
    )
    first, second = style.format(3, 4, 5, 1, "red"), style.format(6, 7, 8, 2, "blue")
    assert body(solids + first + second) == body(solids + second + first)
    assert body(solids + second + first)[5] == "#6=COLOUR('red');"
