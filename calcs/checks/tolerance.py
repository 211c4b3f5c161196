"""The tolerance chain of one gap: worst case, root sum square, Monte Carlo."""

from __future__ import annotations

import math
from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from calcs.case import ChainLink
from calcs.check import check, derived
from calcs.finding import Finding, at_least, digits, not_checked

# ISO 2768-1 linear tolerances (mm, from memory): up to and including the size, +- for the classes f, m, c, v
GENERAL_MM = (
    (3.0, 0.05, 0.1, 0.2, None),
    (6.0, 0.05, 0.1, 0.3, 0.5),
    (30.0, 0.1, 0.2, 0.5, 1.0),
    (120.0, 0.15, 0.3, 0.8, 1.5),
    (400.0, 0.2, 0.5, 1.2, 2.5),
    (1000.0, 0.3, 0.8, 2.0, 4.0),
)
SMALLEST_MM = 0.5
SAMPLES, SEED = 10_000, 1  # of the Monte Carlo: the same answer for the same file
SIGMAS = 3.0  # a tolerance is read as three standard deviations; common practice, no source
TAIL = 0.00135  # share below three standard deviations of a normal distribution


def general_m(nominal_m: float, tolerance_class: str) -> float | None:
    """General tolerance of a length, plus or minus (m), None where the class has none.

    Source: ISO 2768-1 (from memory).
    """
    size = abs(nominal_m) * 1e3
    column = 1 + "fmcv".index(tolerance_class)
    row = next((row for row in GENERAL_MM if size <= row[0]), None)
    found = None if row is None or size < SMALLEST_MM else row[column]
    return None if found is None else found / 1e3


class Spread(NamedTuple):
    """A link: its signed part in the middle of the gap, and half its tolerance (None where there is none)."""

    name: str
    part_m: float
    half_m: float | None


@derived()
def toleranced_chain(chain: tuple[ChainLink, ...], general_tolerance: str) -> tuple[Spread, ...]:
    """Each link with its part in the middle of the gap and half its tolerance."""
    rows = []
    for link in chain:
        if link.upper_m is None or link.lower_m is None:
            half, middle = general_m(link.nominal_m, general_tolerance), 0.0
        else:
            half, middle = (link.upper_m - link.lower_m) / 2.0, (link.upper_m + link.lower_m) / 2.0
        rows.append(Spread(link.name, link.sense * (link.nominal_m + middle), half))
    return tuple(rows)


def _judge(rows: tuple[Spread, ...], spread_m: float, limit: float | None, gap_name: str) -> Finding:
    open_links = [row.name for row in rows if row.half_m is None]
    if open_links:
        return not_checked(
            f"no general tolerance for {', '.join(open_links)}",
            f'give "{open_links[0]}" a tolerance of its own',
        )
    middle = sum(row.part_m for row in rows)
    wide = max(rows, key=lambda row: row.half_m or 0.0)
    note = f"{gap_name}: " if gap_name else ""
    note += f"{digits(middle * 1e3)} mm nominal, +-{digits(spread_m * 1e3)} mm"
    lacking = "" if limit is None else f"{digits((limit - middle + spread_m) * 1e3)} mm more gap"
    remedy = f'{lacking}, or closer tolerances, first of "{wide.name}" (+-{(wide.half_m or 0.0) * 1e3:g} mm)'
    return at_least(middle - spread_m, limit, note=note, remedy=remedy)


@check(
    "tolerance.worst_case",
    unit="m",
    shown="mm",
    margin_kind="difference",
    formula="gap - sum t",
    source="worst-case stack, Shigley 9e, section 1-13; ISO 2768-1 (from memory) where no tolerance is given",
    limit="required_gap_m",
    asked_by=("tolerance.required",),
)
def worst_case(
    toleranced_chain: tuple[Spread, ...],
    gap_name: str = "",
    limit: float | None = None,
) -> Finding:
    """Smallest gap of the tolerance chain, every link at its worst end."""
    return _judge(toleranced_chain, sum(row.half_m or 0.0 for row in toleranced_chain), limit, gap_name)


@check(
    "tolerance.rss",
    unit="m",
    shown="mm",
    margin_kind="difference",
    formula="gap - sqrt(sum t^2)",
    source="root-sum-square stack, common practice; true only for many independent, centred links",
    limit="required_gap_m",
)
def root_sum_square(
    toleranced_chain: tuple[Spread, ...],
    gap_name: str = "",
    limit: float | None = None,
) -> Finding:
    """Gap of the tolerance chain by root sum square."""
    spread = math.sqrt(sum((row.half_m or 0.0) ** 2 for row in toleranced_chain))
    return _judge(toleranced_chain, spread, limit, gap_name)


@check(
    "tolerance.monte_carlo",
    unit="m",
    shown="mm",
    margin_kind="difference",
    formula="0.135 % quantile of the gap over 10 000 draws, each link normal with t = 3 sigma",
    source="Monte Carlo with a fixed seed, common practice; true only for centred processes",
    limit="required_gap_m",
)
def monte_carlo(
    toleranced_chain: tuple[Spread, ...],
    gap_name: str = "",
    limit: float | None = None,
) -> Finding:
    """Gap of the tolerance chain by drawing every link at random."""
    if any(row.half_m is None for row in toleranced_chain):
        return _judge(toleranced_chain, 0.0, limit, gap_name)
    middle = sum(row.part_m for row in toleranced_chain)
    gaps = drawn_gaps_m(toleranced_chain)
    # as np.quantile, which would load a tenth of numpy more
    tail = float(np.interp(TAIL * (SAMPLES - 1), np.arange(SAMPLES), np.sort(gaps)))
    found = _judge(toleranced_chain, middle - tail, limit, gap_name)
    if limit is None:
        return found
    below = float(np.mean(gaps < limit))
    return found._replace(note=f"{found.note}; {100.0 * below:.2g} % of the draws are below the limit")


def drawn_gaps_m(rows: tuple[Spread, ...]) -> NDArray[np.float64]:
    """Gaps (m), shape (SAMPLES,), every link drawn from a normal distribution with its tolerance at 3 sigma.

    Source: Monte Carlo with a fixed seed.
    """
    deviations = np.array([(row.half_m or 0.0) / SIGMAS for row in rows])
    gaps: NDArray[np.float64] = sum(row.part_m for row in rows) + deviations @ _draws(len(rows))
    return gaps


@cache
def _draws(links: int) -> NDArray[np.float64]:
    """Draw each link once and for all: a search asks for the same draws again and again."""
    return np.random.default_rng(SEED).standard_normal((links, SAMPLES))
