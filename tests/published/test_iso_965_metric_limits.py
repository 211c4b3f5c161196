"""ISO 965: limits of metric threads in 6g and 6H (mm).

6g as printed in an ASME B1.13M table and a second chart, which agree; 6H: the tolerance of D1 up to pitch 0.7
from Machinery's Handbook, 27th edition, page 1794 table 8, the rest from memory. M3 and M12 from memory.
"""

import pytest
from published_cases import Case

from geometry.thread_limits import class_limits
from geometry.threads import thread

# d, d2 as (max, min)
LIMITS_6G = {
    "M1.6x0.35": ((1.581, 1.496), (1.354, 1.291)),
    "M2x0.4": ((1.981, 1.886), (1.721, 1.654)),
    "M2.5x0.45": ((2.480, 2.380), (2.188, 2.117)),
    "M3x0.5": ((2.980, 2.874), (2.655, 2.580)),
    "M4x0.7": ((3.978, 3.838), (3.523, 3.433)),
    "M5x0.8": ((4.976, 4.826), (4.456, 4.361)),
    "M6x1": ((5.974, 5.794), (5.324, 5.212)),
    "M8x1.25": ((7.972, 7.760), (7.160, 7.042)),
    "M10x1.5": ((9.968, 9.732), (8.994, 8.862)),
    "M12x1.75": ((11.966, 11.701), (10.829, 10.679)),
}
# D1, D2 as (max, min)
LIMITS_6H = {
    "M1.6x0.35": ((1.321, 1.221), (1.458, 1.373)),
    "M2x0.4": ((1.679, 1.567), (1.830, 1.740)),
    "M2.5x0.45": ((2.138, 2.013), (2.303, 2.208)),
    "M3x0.5": ((2.599, 2.459), (2.775, 2.675)),
    "M4x0.7": ((3.422, 3.242), (3.663, 3.545)),
    "M5x0.8": ((4.334, 4.134), (4.605, 4.480)),
    "M6x1": ((5.153, 4.917), (5.500, 5.350)),
    "M8x1.25": ((6.912, 6.647), (7.348, 7.188)),
    "M10x1.5": ((8.676, 8.376), (9.206, 9.026)),
    "M12x1.75": ((10.441, 10.106), (11.063, 10.863)),
}

PUBLISHED = (
    Case("ASME B1.13M, ISO 965", "limits of class 6g", 4 * (len(LIMITS_6G) - 2), "page"),
    Case("Machinery's Handbook 27", "table 8, p. 1794: D1 in 6H up to pitch 0.7", 5, "page"),
    Case("ISO 965", "the other limits of class 6H, M3 and M12 in 6g", 4 * len(LIMITS_6H) + 3, "memory"),
)


@pytest.mark.parametrize("designation", LIMITS_6G)
def test_limits_of_the_screw_in_6g(designation):
    limits = thread(designation).limits("6g")
    assert (limits["d"], limits["d2"]) == tuple(
        pytest.approx(pair, abs=1e-9) for pair in LIMITS_6G[designation]
    )
    assert class_limits(thread(designation), "6g").notes == ()


@pytest.mark.parametrize("designation", LIMITS_6H)
def test_limits_of_the_nut_in_6h(designation):
    limits = thread(designation).limits("6H")
    assert (limits["D1"], limits["D2"]) == tuple(
        pytest.approx(pair, abs=1e-9) for pair in LIMITS_6H[designation]
    )


def test_the_table_wins_over_the_formula_where_they_differ():
    """The five rows in which ISO 965-1's formula, rounded to R40, misses the standard's own table (um)."""
    nut, screw = (lambda name: thread(name).limits("6H")), (lambda name: thread(name).limits("6g"))
    assert nut("M2.5x0.45")["D2"][0] - 2.208 == pytest.approx(0.095)  # formula 0.090
    assert 4.0 - screw("M4x0.7")["d"][0] == pytest.approx(0.022)  # 0.023
    assert nut("M6x1")["D1"][0] - 4.917 == pytest.approx(0.236)  # 0.224
    assert 8.0 - screw("M8x1.25")["d"][0] == pytest.approx(0.028)  # 0.029
    assert nut("M10x1.5")["D2"][0] - 9.026 == pytest.approx(0.180)  # 0.170
