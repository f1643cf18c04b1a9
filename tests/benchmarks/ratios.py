"""What fast means: each row a ratio against a named general-purpose peer, on the same work, in one run.

    .venv/bin/python tests/benchmarks/ratios.py          the whole table
    .venv/bin/python tests/benchmarks/ratios.py 7 8      rows by their numbers

prints the table with machine and versions; medians of interleaved repeats.  Answers are compared in the same
run: a row whose answers differ, or whose ratio is below its floor, makes the command fail.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import platform
import sys
import warnings
from importlib.metadata import version

from bench import Bench, Row
from rows_cold import cold_assess, help_text
from rows_dampers import exact_minimax, many_dampers
from rows_dynamics import along_speed, frequency_response
from rows_laws import bending, rigid
from rows_many import many_vehicles, robust_search
from rows_measured import pulses_of_ten_minutes, spectra_of_an_hour
from rows_time import linear_history

ROWS = {
    1: (frequency_response,),
    2: (along_speed,),
    3: (many_dampers,),
    4: (exact_minimax,),
    5: (many_vehicles,),
    6: (robust_search,),
    7: (linear_history,),
    8: (bending, rigid),
    9: (spectra_of_an_hour,),
    10: (pulses_of_ten_minutes,),
    11: (help_text,),
    13: (cold_assess,),
}


def table(rows: list[Row]) -> str:
    """The table as Markdown."""
    names = ("numpy", "scipy", "control")
    versions = ", ".join(f"{name} {version(name)}" for name in names)
    lines = [
        f"Python {platform.python_version()}, {versions}; {platform.machine()}, {os.cpu_count()} cores, "
        "one BLAS thread.",
        "",
        "| # | work | peer | ours | peer's | ratio | floor | answers apart |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for r in rows:
        ours, theirs = (f"{t * 1e3:.3g} ms" for t in (r.ours, r.theirs))
        apart = f"{r.apart:.0e}" if r.within < 1 else "–"
        lines.append(
            f"| {r.number} | {r.work} | {r.peer} | {ours} | {theirs} "
            f"| {r.ratio:.3g} | {r.floor:.3g} | {apart} |"
        )
    return "\n".join(lines)


def main(wanted: list[str]) -> int:
    warnings.simplefilter("ignore")  # the peers' own
    bench = Bench()
    numbers = [int(number) for number in wanted] or list(ROWS)
    rows = [row(bench) for number in numbers for row in ROWS[number]]
    print(table(rows))
    broken = [r.number for r in rows if not r.holds]
    print(f"below their floor or apart: {broken}" if broken else "every floor holds")
    return 1 if broken else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
