"""ISO 2903: limits of trapezoidal threads in 7e as printed, in 7H from memory (mm)."""

import pytest
from published_cases import Case

from geometry.threads import thread

# d2, d3, d as (max, min)
LIMITS_7E = {
    "Tr8x1.5": ((7.183, 7.013), (6.200, 5.921), (8.000, 7.850)),
    "Tr12x3": ((10.415, 10.191), (8.500, 8.135), (12.000, 11.764)),
    "Tr16x4": ((13.905, 13.640), (11.500, 11.074), (16.000, 15.700)),
    "Tr10x2": ((8.929, 8.739), (7.500, 7.192), (10.000, 9.820)),  # from memory
}
# D1, D2 as (max, min), from memory
LIMITS_7H = {
    "Tr8x1.5": ((6.690, 6.500), (7.474, 7.250)),
    "Tr10x2": ((8.236, 8.000), (9.250, 9.000)),
    "Tr12x3": ((9.315, 9.000), (10.800, 10.500)),
    "Tr16x4": ((12.375, 12.000), (14.355, 14.000)),
}

PUBLISHED = (
    Case("ISO 2903", "limits of class 7e", 18, "page"),
    Case("ISO 2903", "limits of class 7H, and of Tr10x2 in 7e", 4 * len(LIMITS_7H) + 6, "memory"),
)


@pytest.mark.parametrize("designation", LIMITS_7E)
def test_limits_of_the_screw_in_7e(designation):
    limits = thread(designation).limits("7e")
    found = (limits["d2"], limits["d3"], limits["d"])
    assert found == tuple(pytest.approx(pair, abs=1e-9) for pair in LIMITS_7E[designation])


@pytest.mark.parametrize("designation", LIMITS_7H)
def test_limits_of_the_nut_in_7h(designation):
    limits = thread(designation).limits("7H")
    assert (limits["D1"], limits["D2"]) == tuple(
        pytest.approx(pair, abs=1e-9) for pair in LIMITS_7H[designation]
    )
