"""The report of a recording: one self-contained page with its pictures, and the guide for the next ride."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from ..sizing.verdict import CAUTIONS
from . import read_tables
from .figures import inline, png, svg
from .folder import write_folder
from .papers import templates, to_html
from .read_answer import answer, run
from .read_pictures import drawings
from .read_study import Heard
from .recording_guide import any_guide

PICTURES = {
    "order_map": "Level against speed and frequency, and against speed and turns of a wheel",
    "points": "The points of the first finding from the side, each with its level and its phase",
    "coherence": "Coherence along frequency with its line of significance",
}
UP_FRONT = 3  # cautions that stand beside the answer: what comes before any drive
NO_MAP = "No picture of the shake against speed: the speed was not recorded, or too little was driven."
NO_PULSES = (
    "No pulses were recorded: whether the driveline moves with the shake is not known. Here are the points "
    "among themselves."
)
NO_STATIONS = "No case says where the points are: they stand in the order of the recording, not to scale."


def write_report(h: Heard, folder: Path) -> Path:
    """Write the report of a recording into a folder; the path of its page.

    Raises CounterbounceError where the folder holds what we did not write, or cannot be written.
    """
    pictures: dict[str, str] = {}
    told = json.dumps(answer(h), indent=2, ensure_ascii=False, allow_nan=False)
    files: dict[str, bytes] = {"answer.json": told.encode()}
    for name, draw in drawings(h).items():
        figure = draw()
        pictures[name] = svg(figure)
        files |= {f"{name}.svg": pictures[name].encode(), f"{name}.png": png(figure)}
    files["report.html"] = page(h, pictures).encode()
    files["recording-guide.html"] = to_html(_guide(h)).encode()
    write_folder(folder, files)
    return folder / "report.html"


def page(h: Heard, pictures: dict[str, str]) -> str:
    """The report as one HTML page that asks for nothing from outside.

    pictures  SVG text by name
    """
    from markupsafe import Markup

    drawn = {name: Markup(inline(text, name, PICTURES[name])) for name, text in pictures.items()}
    return templates().get_template("read_report.html").render(pictures=drawn, **_facts(h))


def _guide(h: Heard) -> Any:
    around = h.evidence.estimates.get("circumference")
    footer = f"counterbounce {run(h)['version']}; read off {', '.join(h.hashes)}."
    return any_guide(h.recording.ride.name, footer, around.value if around else None)


def _facts(h: Heard) -> dict[str, Any]:
    """Everything that the page prints, as text."""
    findings = h.evidence.findings
    return {
        "name": h.recording.ride.name,
        "headline": read_tables.headline(h),
        "labels": dict(h.recording.ride.labels),
        "kind": read_tables.KINDS[findings[0].kind],
        "sentences": [read_tables.sentence(one, h.display) for one in findings],
        "unsound": read_tables.health_line(h),
        "following": findings[0].driveline == "moves_with_it",
        "step": read_tables.step_rows(h),
        "cautions": CAUTIONS,
        "first_cautions": CAUTIONS[:UP_FRONT],
        "findings": read_tables.findings_table(h),
        "behind": read_tables.behind_table(h),
        "points": read_tables.points_table(h),
        "health": read_tables.health_table(h),
        "estimates": read_tables.estimates_table(h),
        "limits": h.evidence.limits,
        "done": h.recording.done,
        "no_map": NO_MAP,
        "of_points": "" if h.stations else NO_STATIONS,
        "of_coherence": "" if h.shaft else NO_PULSES,
        "run": run(h),
    }
