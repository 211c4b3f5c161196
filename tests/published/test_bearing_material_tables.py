"""Nut materials as bearings: three handbooks' tables, as read there.

Analysis and Design of Machine Elements, table 12.5 (page 351); Mechanical Engineer's Data Handbook, 2.9.3
(page 92); Neale, Tribology Handbook, A5.1.
"""

from __future__ import annotations

import pytest
from published_cases import Case

from calcs.materials import material

# pressure low and high (MPa), pv (MPa m/s), speed (m/s), hottest (degC)
BRONZE = {"bronze": (8.0, 15.0, 15.0, 3.0, 260.0)}
DATA_HANDBOOK = {"nylon": (7.0, 7.0, 0.875, 2.5, 95.0), "PTFE": (3.5, 3.5, 0.35, 1.2, 265.0)}
TRIBOLOGY = {"POM": (10.0, 10.0, None, None, 100.0), "PEEK": (30.0, 80.0, None, None, 250.0)}

PUBLISHED = (
    Case("Analysis and Design of Machine Elements", "table 12.5", 5, "page"),
    Case("Mechanical Engineer's Data Handbook", "table 2.9.3", 8, "page"),
    Case("Neale, Tribology Handbook", "table A5.1", 5, "page"),
)


@pytest.mark.parametrize("name", [*BRONZE, *DATA_HANDBOOK, *TRIBOLOGY])
def test_limits_of_a_bearing_material(name: str) -> None:
    low, high, pv, speed, hottest = (BRONZE | DATA_HANDBOOK | TRIBOLOGY)[name]
    found = material(name)
    assert found is not None
    assert found.sliding is not None
    assert [mpa / 1e6 for mpa in found.sliding.pressure_pa] == pytest.approx([low, high])
    assert found.sliding.hottest_c == hottest
    if pv is not None:
        assert found.sliding.pv_pa_m_s == pytest.approx(pv * 1e6)
        assert found.sliding.speed_m_s == speed
