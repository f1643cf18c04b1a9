"""One self-contained page, its pictures and its curves, written beside and renamed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..model.sheet import sheet
from ..sizing.assess import Assessment
from . import amplitude_tables, damper_tables, next_table, noticed_table, seen_tables, sure_table, tables
from .answer import run, to_json
from .curves import curves
from .figures import inline, svg
from .folder import write_folder
from .ledger import readable
from .papers import missing, pages, papers, templates
from .pdf import PAPERS, to_pdf
from .pictures import drawings

if TYPE_CHECKING:
    from .chain import Chain

UP_FRONT = 3  # cautions that stand beside the answer: what comes before any drive

PICTURES = {
    "amplitude": "Natural frequencies along the stretch of the laws; amplitude.csv holds the same",
    "critical_speeds": "Frequency against speed: inputs as lines, modes as bands, critical speeds as dots",
    "mode_shapes": "The first modes of the vehicle seen from the side, motion exaggerated",
    "response": "Level at each watched point against speed; pale, nine in ten plausible vehicles",
}


def write_report(
    assessment: Assessment, folder: Path, pdf: bool = False, recorded: Chain | None = None
) -> Path:
    """Write the report of an assessment and its papers into a folder; the path of the report's page.

    pdf       whether the papers go into one PDF as well
    recorded  the recordings that are in it; the corrected case goes into the folder, too

    Raises CounterbounceError where the folder holds what we did not write, or cannot be written.
    """
    pictures: dict[str, str] = {}
    files: dict[str, bytes] = {"answer.json": to_json(assessment, _recorded_json(recorded)).encode()}
    for name, draw in drawings(assessment).items():
        pictures[name] = svg(draw())
        files[f"{name}.svg"] = pictures[name].encode()
    files |= {name: text.encode() for name, text in curves(assessment).items()}
    files["equations.txt"] = sheet(assessment.host.vehicle).text().encode()
    files["report.html"] = page(assessment, pictures, pdf, recorded).encode()
    if recorded and recorded.file:
        files[recorded.file] = recorded.text.encode()
    files |= pages(assessment)
    if pdf:
        files[PAPERS] = to_pdf(papers(assessment))
    write_folder(folder, files)
    return folder / "report.html"


def page(
    assessment: Assessment, pictures: dict[str, str], pdf: bool = False, recorded: Chain | None = None
) -> str:
    """The report as one HTML page that asks for nothing from outside.

    pictures  SVG text by name
    pdf       whether the papers lie beside it as a PDF, too
    recorded  the recordings that are in it
    """
    from markupsafe import Markup

    drawn = {name: Markup(inline(text, name, PICTURES[name])) for name, text in pictures.items()}
    shared = {"papers": papers(assessment), "missing": missing(assessment), "pdf": PAPERS if pdf else ""}
    facts = {**shared, **_recorded(recorded), **_facts(assessment)}
    return templates().get_template("report.html").render(pictures=drawn, **facts)


def _recorded(found: Chain | None) -> dict[str, Any]:
    if found is None:
        return {"recorded": (), "corrected": ""}
    from .chain_table import chain_tables

    return {"recorded": chain_tables(found), "corrected": found.file}


def _recorded_json(found: Chain | None) -> dict[str, Any]:
    if found is None:
        return {}
    from .chain_table import chain_json

    return chain_json(found, found.file or None)


def _facts(a: Assessment) -> dict[str, Any]:
    """Everything that the page prints, as text."""
    return {
        "name": a.case.name,
        "note": a.case.note,
        "outcome": a.verdict.outcome.value.replace("_", " "),
        "sentence": readable(a.verdict.sentence),
        "next_step": readable(a.verdict.next_step),
        "cautions": a.cautions,
        "first_cautions": a.cautions[:UP_FRONT],
        "walk": seen_tables.walk_round(a),
        "not_cleared": seen_tables.not_cleared(a),
        "observed": seen_tables.observed_table(a),
        "steps": next_table.steps_table(a),
        "next_test": seen_tables.next_table(a),
        "critical": tables.critical_table(a),
        "modes": tables.modes_table(a),
        "damper": damper_tables.damper_table(a),
        "prediction": damper_tables.prediction_table(a),
        "sure": sure_table.sure_table(a),
        "decides": sure_table.decides_table(a),
        "shifts": sure_table.shifts_table(a),
        "split": damper_tables.split_table(a),
        "noticed": noticed_table.noticed_table(a),
        "before_a_weight": amplitude_tables.before_a_weight(a),
        "laws": amplitude_tables.laws_table(a),
        "along": amplitude_tables.along_table(a),
        "loads": damper_tables.loads_table(a),
        "ratings": damper_tables.ratings_table(a),
        "doubts": tables.doubts_table(a),
        "beside": tables.beside_table(a),
        "ledger": tables.ledger_table(a),
        "sheet": sheet(a.host.vehicle),
        "model": tables.model_words(a),
        "run": run(a),
        "in_hand": a.in_hand,
    }
