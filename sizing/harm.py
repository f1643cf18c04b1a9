"""How often a damper is advised where it must not be: simulated complaints, each put to the whole decision.

The vehicles, their faults and what a person says of them are drawn as in `complaints`; a damper is advised
where the answer is that it helps.  The share is counted by cause and by how carefully somebody looked; beside
it stands the share of shakes that a damper would help, on healthy vehicles, which are told so.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from ..model.observations import CHECKS, Observation
from .assess import advises, without_sizing
from .complaints import FOREIGN, Care, Cause, Simulated, simulated
from .evidence import with_wheels
from .study import Progress, host, quiet
from .verdict import Outcome, Verdict

GOAL = 0.005  # [-] of complaints that no damper is for
SURE = 0.95  # [-] that an interval holds the share
OWN = 4  # complaints of foreign causes for each of a mode
CLEARED: dict[str, Any] = {
    "checks": dict.fromkeys(CHECKS, "good"),
    "observations": (Observation("known-good wheels", "stayed"),),
}


@dataclass(frozen=True)
class Put:
    """One simulated complaint, put to the decision.

    advised  whether a damper was advised, by care
    cure     whether a damper would help the vehicle that shakes, were its numbers known
    """

    cause: Cause
    advised: Mapping[Care, bool]
    cure: bool


@dataclass(frozen=True)
class Counted:
    """How many of some complaints were advised a damper.

    low, high  where the share lies, 95 % [-] (Clopper and Pearson, 1934, Biometrika 26; from memory)
    """

    advised: int
    of: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """Of them [-]; 0 of none."""
        return self.advised / max(self.of, 1)

    @property
    def met(self) -> bool | None:
        """Whether the goal for harm is met; None where the sample is too small to say."""
        return True if self.high <= GOAL else False if self.low > GOAL else None


@dataclass(frozen=True)
class Harm:
    """Simulated complaints, put to the decision."""

    seed: int
    put: tuple[Put, ...]

    def of(self, cause: Cause, care: Care) -> Counted:
        """Those of one foreign cause."""
        return counted(one.advised[care] for one in self.put if one.cause is cause)

    def harmful(self, care: Care) -> Counted:
        """Those of all causes that no damper is for, as often as they were simulated."""
        return counted(one.advised[care] for one in self.put if one.cause in FOREIGN)

    def of_modes(self, care: Care, cure: bool) -> Counted:
        """Those of a mode met by healthy wheels, that a damper would help or would not."""
        modes = (one for one in self.put if one.cause is Cause.MODE and one.cure is cure)
        return counted(one.advised[care] for one in modes)


def counted(advised: Iterable[bool]) -> Counted:
    """Count, with the interval of the share.

    >>> found = counted([True] + [False] * 99)
    >>> found.advised, found.of, round(found.low, 4), round(found.high, 4), found.met
    (1, 100, 0.0003, 0.0545, None)
    """
    from scipy.stats import binomtest

    given = list(advised)
    if not given:
        return Counted(0, 0, 0.0, 1.0)
    found = binomtest(sum(given), len(given)).proportion_ci(SURE, "exact")
    return Counted(sum(given), len(given), float(found.low), float(found.high))


def harm(cases: int, seed: int = 0, progress: Progress = quiet) -> Harm:
    """Put simulated complaints to the decision.

    cases  of foreign causes, all alike often [-]; a quarter as many of a mode are put as well
    seed   of all draws [-]
    """
    return Harm(seed, tuple(_put(cases, seed, progress)))


def _put(cases: int, seed: int, progress: Progress) -> Iterator[Put]:
    own = max(cases // OWN, 1)
    causes = [FOREIGN[i % len(FOREIGN)] for i in range(cases)] + [Cause.MODE] * own
    numbers = [i // len(FOREIGN) for i in range(cases)] + list(range(own))
    for i, (cause, number) in enumerate(zip(causes, numbers, strict=True), 1):
        progress(f"complaint {i} of {len(causes)}: {cause}")
        yield put(simulated(cause, seed, number))


def put(one: Simulated) -> Put:
    """One complaint, put to the decision with each care.

    What is said of a walk round and of such changes can only take an advice away, so that the damper is sized
    and surveyed once, with all that speaks for it: the same answers as from the main job, in a third of the
    time.
    """
    told = host(one.case)
    said = {care: replace(told, case=case) for care, case in one.said.items()}
    open_to = [care for care in said if without_sizing(said[care]) is None]
    helps = bool(open_to) and advises(replace(told, case=replace(one.case, **CLEARED)))
    yes = Verdict(Outcome.HELPS, "", "")
    advised = {care: helps and care in open_to and with_wheels(said[care], yes).good for care in said}
    cure = one.cause is Cause.MODE and advises(host(one.actual), doubt=False)
    return Put(one.cause, advised, cure)
