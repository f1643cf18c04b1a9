"""How often an assessment with a recording advises a damper, and whether it should: invented trucks, driven.

    .venv/bin/python tests/study/recorded.py [RIDES [FIRST_SEED]]

draws trucks from the spreads of the engineer's box truck, drives each once (24 unless told), and puts case
and recording to the whole chain: which answers came for which story, and how often the truth lay in the
interval of the corrected frequency.  The walk round the truck is done and other wheels were tried, so that
nothing but the recording can stop a damper.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import sys
import tempfile
from collections import Counter
from pathlib import Path

import numpy as np
from driven import driven

from counterbounce.app.chain import Chain, chain
from counterbounce.app.read_study import Asked
from counterbounce.model.case import load, parse
from counterbounce.model.modes import modes
from counterbounce.model.settle import settled

BOX = Path(__file__).parents[2] / "examples" / "engineer" / "box_truck.toml"
STORIES = ("healthy", "wheel at fault", "one speed", "no resonance")
BENDING = "frame bending 1"
STEADY = 24.4  # [m/s]
DRAWN = (("12.3 MN*m^2", 0.039), ("19500 kg*m^2", 0.048), ("520 kN/m", 0.07))  # a standard deviation each [-]


def told(story: str, rng: np.random.Generator) -> str:
    """The text of a truck of a story, its numbers drawn."""
    text = BOX.read_text(encoding="utf-8")
    for given, spread in DRAWN:
        value, unit = given.split(" ")
        text = text.replace(given, f"{float(value) * np.exp(spread * rng.standard_normal()):.6g} {unit}")
    out = rng.uniform(3, 9) if story == "wheel at fault" else 1.0
    text = text.replace("1.1 mm", f"{0.7 * out:.2f} mm").replace("0.6 mm", f"{0.6 * out:.2f} mm")
    damped = 'loss_factor = "0.6' if story == "no resonance" else 'loss_factor = "0.04'
    return text.replace('loss_factor = "0.04', damped)


def answered(seed: int, folder: Path) -> tuple[str, Chain, float]:
    """A story by turns, its truck driven and put to the chain, and its true bending frequency [Hz]."""
    rng, story = np.random.default_rng(seed), STORIES[seed % len(STORIES)]
    text = told(story, rng)
    sweep = {"sweep": ((0.0, 60.0), (STEADY, STEADY))} if story == "one speed" else {}
    ride = driven(text, seed=seed, smooth=rng.uniform(0.3, 1.0), **sweep)
    found = chain(load(BOX), [Asked((ride.write(folder / f"ride {seed}.csv"),))], None, lambda _: None)
    case = parse(text)
    truth = modes(settled(case.plan, case.numbers))
    return story, found, float(truth.frequency_hz[truth.names.index(BENDING)])


def main(count: int = 24, first: int = 7200) -> None:
    answers: Counter[tuple[str, str]] = Counter()
    inside, corrected = 0, 0
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(first, first + count):
            story, found, true = answered(seed, Path(folder))
            answers[story, found.after.verdict.outcome.value] += 1
            resonance = found.found and any(one.what == "natural frequency" for one in found.found.data)
            if found.found and resonance:
                known = {one.name: one.after for one in found.found.modes}
                corrected += 1
                inside += BENDING in known and known[BENDING][1] < true < known[BENDING][2]
    for (story, outcome), many in sorted(answers.items()):
        print(f"{story:16} {outcome:20} {many}")
    print(f"bending frequency inside its corrected interval: {inside} of {corrected}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
