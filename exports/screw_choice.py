"""The comparison of screw kinds as JSON rows and as one table for people."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from calcs.result import shown_value
from exports.console import Console, paragraph, print_table
from exports.wording import number

if TYPE_CHECKING:
    from calcs.choice import Choice

COLUMNS = (
    "screw", "lead mm", "efficiency", "mN*m", "heat W", "holding", "error um", "million cycles",
)  # fmt: skip


def choice_rows(choices: Iterable[Choice]) -> list[dict[str, Any]]:
    """Make the rows of the comparison for `check --json`, the design's own screw first."""
    return [
        {
            "designation": choice.designation,
            "family": choice.family,
            "own": choice.own,
            "lead": _quantity(choice.lead_m, "mm", "m"),
            "screw_speed": _quantity(choice.screw_speed_rad_s, "rpm", "rad/s"),
            "efficiency": shown_value(choice.efficiency, "", ""),
            "torque": _quantity(choice.torque_nm, "mN*m", "N*m"),
            "heat": _quantity(choice.heat_w, "W", "W"),
            "holding": shown_value(choice.holding, "", ""),
            "holds": choice.holds,
            "back_efficiency": shown_value(choice.back_efficiency, "", ""),
            "lead_error": _quantity(choice.lead_error_m, "um", "m"),
            "life": {
                "cycles": shown_value(choice.life.cycles, "", ""),
                "verdict": choice.life.verdict,
                "note": choice.life.words,
            },
            "asked_rating": _quantity(choice.asked_rating_n, "N", "N"),
            "assumed": list(choice.assumed),
        }
        for choice in choices
    ]


def _quantity(value: Any, shown: str, si: str) -> dict[str, Any]:
    return {"value": shown_value(value, shown, si), "unit": shown}


def print_choices(out: Console, rows: Sequence[Mapping[str, Any]]) -> None:
    """Print the comparison: one line a screw, then what each stands on."""
    out.print()
    out.print("The same duty on other kinds of screw, the design's own first", style="bold")
    table = [
        (
            row["designation"],
            number(row["lead"]["value"]),
            _ends(row["efficiency"]),
            _ends(row["torque"]["value"]),
            _ends(row["heat"]["value"]),
            _ends(row["holding"]),
            _ends(row["lead_error"]["value"]),
            _life(row["life"]),
        )
        for row in rows
    ]
    print_table(out, COLUMNS, table, flexible="screw", numeric=COLUMNS[1:])
    out.print(
        paragraph(
            "Nearest size of each kind in diameter; its thread alone, without collar, drag and preload. "
            "Torque at the highest force, heat of the thread while raising at the running speed, holding at "
            "the low end of friction (below 1 the load turns the screw; vibration not counted), error of the "
            "lead over the stroke, life of the nut."
        )
    )
    for row in rows:
        speed = f"{number(row['screw_speed']['value'])} rpm"
        life = f"life {row['life']['verdict']}: {row['life']['note']}"
        out.print(paragraph(f"{row['designation']}: {'; '.join([speed, *row['assumed'], life])}"))


def _life(life: Mapping[str, Any]) -> str:
    cycles = life["cycles"]
    if cycles is None:
        return str(life["verdict"])
    return _ends({k: v / 1e6 for k, v in cycles.items()} if isinstance(cycles, Mapping) else cycles / 1e6)


def _ends(value: float | Mapping[str, float] | None) -> str:
    """Write a number or the ends of a band with three digits, which a comparison needs no more of."""
    if isinstance(value, Mapping):
        return f"{number(value['low'], 3)} .. {number(value['high'], 3)}"
    return number(value, 3)
