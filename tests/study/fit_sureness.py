"""Fits the constants of model/measured/sureness.py to simulated recordings whose every fault is known.

    .venv/bin/python tests/study/fit_sureness.py [RIDES [FIRST_SEED]]

prints them: maximum likelihood with a light pull towards zero, for the light damping of a mode, the size of
a wheel's input and that of anything else that turns; then, with the constants as they stand in the file, for
whether the kind of the principal finding is right.  The seeds, 900 from 1000 on unless told, must not be
those that the confusion table is made of.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import sys
from math import log

import numpy as np
from scipy.optimize import minimize
from simulated import KIND, STORIES, Told, drawn, ride

from counterbounce.model.measured.evidence import seen
from counterbounce.model.measured.judged import Scene, judged
from counterbounce.model.measured.shakes import Turning
from counterbounce.model.measured.sureness import (
    FAULTY,
    RINGS,
    UNHEARD,
    log_odds,
    mode_margins,
    nothing_margins,
    other_margins,
    sure_of_fault,
    sure_of_mode,
    wheel_margins,
)
from counterbounce.model.measured.travelled import slowed

PULL = 0.3  # of a constant towards zero
LEFT_OUT = ("one speed", "tramp")  # where nothing is to be told apart, or the plane is left


def true_mode(told: Told, frequency: float) -> bool:
    """Whether a lightly damped mode was put there."""
    return told.damping < RINGS and abs(log(frequency / told.natural)) < 0.07


def true_fault(told: Told, one: Turning) -> bool:
    """Whether what turns was made larger than healthy."""
    turns = one.line.line.per_metre * told.circumference * told.scale
    if told.shaft and abs(turns / told.shaft_ratio - 1) < 0.02:
        return True
    order = round(turns)
    return abs(turns - order) < 0.02 * order and told.sizes.get(order, 1.0) >= FAULTY


def fitted(margins: list[tuple[float, ...]], truth: list[bool]) -> tuple[float, ...]:
    """Constant and slopes of the logistic function that makes the truth most likely [-]."""
    x = np.column_stack([np.ones(len(margins)), np.array(margins)])
    y = np.array(truth, dtype=float)

    def loss(constants: np.ndarray) -> tuple[float, np.ndarray]:
        total = x @ constants
        pulled = PULL * np.append(0.0, constants[1:])
        value = np.sum(np.logaddexp(0, total) - y * total) + pulled @ constants / 2
        return value, x.T @ (1 / (1 + np.exp(-total)) - y) + pulled

    return tuple(np.round(minimize(loss, np.zeros(x.shape[1]), jac=True).x, 2).tolist())


def scenes(count: int, first: int) -> list[tuple[Told, Scene]]:
    """Simulated recordings, and what is seen in them."""
    told = [drawn(STORIES[seed % len(STORIES)], seed) for seed in range(first, first + count)]
    return [(one, seen(slowed(ride(one)), one.circumference if one.seed % 3 else None)) for one in told]


def principal(made: list[tuple[Told, Scene]], kind: str) -> tuple[list[tuple[float, ...]], list[bool]]:
    """What was known of each principal finding of a kind when it was named, and whether it was right."""
    margins, right = [], []
    for told, scene in made:
        if judged(scene)[0].kind != kind:
            continue
        modes = [sure_of_mode(one) for one in scene.modes]
        faults = [sure_of_fault(one) for one in scene.turned if one.line.family != "joints"]
        others = {"resonance": modes, "rotating_part": faults, "nothing": modes + faults}[kind]
        likeliest = max(others, default=UNHEARD)
        road = float(scene.slow.travelled[-1])
        margins.append(nothing_margins(likeliest, road) if kind == "nothing" else (log_odds(likeliest),))
        right.append(kind in KIND[told.story])
    return margins, right


def main(count: int = 900, first: int = 1000) -> None:
    """Prints the constants."""
    made = scenes(count, first)
    told_apart = [(told, scene) for told, scene in made if told.story not in LEFT_OUT]
    modes = [(told, mode) for told, scene in told_apart for mode in scene.modes]
    turned = [(told, one) for told, scene in told_apart for one in scene.turned]
    wheels = [(told, one) for told, one in turned if one.line.family == "wheel"]
    others = [(told, one) for told, one in turned if one.line.family in ("shaft", "unknown")]
    for name, margins, truth in (
        ("MODE", [mode_margins(m) for _, m in modes], [true_mode(t, m.fit.frequency) for t, m in modes]),
        ("WHEEL", [wheel_margins(one) for _, one in wheels], [true_fault(t, one) for t, one in wheels]),
        ("OTHER", [other_margins(one) for _, one in others], [true_fault(t, one) for t, one in others]),
    ):
        print(f"{name} = {fitted(margins, truth)}  # of {len(truth)}, {sum(truth)} true")
    for kind in ("resonance", "rotating_part", "nothing"):
        margins, right = principal(made, kind)
        print(f"{kind}: {fitted(margins, right)}  # of {len(right)}, {sum(right)} right")


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:3]))
