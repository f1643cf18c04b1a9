"""How often a damper is advised where it must not be: simulated complaints, each put to the whole decision.

The vehicles, their faults and what a person says of them are drawn as in `complaints`; a damper is advised
where the answer is that it helps.  The share is counted by cause and by how carefully somebody looked.  Its
price stands beside it: of shakes that a damper would cure, on healthy vehicles, how many are told so, by what
their case knows of the frame; never to advise one would do no harm.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from ..model.case import Case
from .advised import advises, by_numbers
from .complaints import Simulated, simulated
from .study import Progress, host, quiet, told
from .witness import FOREIGN, Care, Cause

GOAL = 0.005  # [-] of complaints that no damper is for
SURE = 0.95  # [-] that an interval holds the share
OWN = 4  # complaints of foreign causes for each of a mode


class Frame(StrEnum):
    """What a case knows of how stiff the frame is."""

    KNOWN = "its frame's stiffness known"
    RAILS = "its rails measured"
    GUESSED = "its frame guessed"


@dataclass(frozen=True)
class Put:
    """One simulated complaint, put to the decision.

    advised  whether a damper was advised, by care
    cure     whether a damper would help the vehicle that shakes, were its numbers known
    frame    what its case knows of the frame
    """

    cause: Cause
    advised: Mapping[Care, bool]
    cure: bool
    frame: Frame


@dataclass(frozen=True)
class Counted:
    """How many of some complaints were advised a damper.

    low, high  where the share lies, 95 % [-] (Clopper and Pearson, 1934, Biometrika 26; from memory)
    bound      what the share stays below, 95 % [-]: the same, one-sided
    """

    advised: int
    of: int
    low: float
    high: float
    bound: float

    @property
    def share(self) -> float:
        """Of them [-]; 0 of none."""
        return self.advised / max(self.of, 1)

    @property
    def met(self) -> bool | None:
        """Whether the goal for harm is met; None where the sample is too small to say."""
        return True if self.bound <= GOAL else False if self.low > GOAL else None


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

    def of_modes(self, care: Care, cure: bool, frame: Frame | None = None) -> Counted:
        """Those of a mode met by healthy wheels, that a damper would help or would not; of all frames, or of
        those of which so much is known."""
        modes = (one for one in self.put if one.cause is Cause.MODE and one.cure is cure)
        return counted(one.advised[care] for one in modes if frame in (None, one.frame))


def counted(advised: Iterable[bool]) -> Counted:
    """Count, with the interval of the share.

    >>> found = counted([True] + [False] * 99)
    >>> found.advised, found.of, round(found.low, 4), round(found.high, 4), round(found.bound, 4)
    (1, 100, 0.0003, 0.0545, 0.0466)
    """
    from scipy.stats import binomtest

    given = list(advised)
    if not given:
        return Counted(0, 0, 0.0, 1.0, 1.0)
    both = binomtest(sum(given), len(given)).proportion_ci(SURE, "exact")
    one_sided = binomtest(sum(given), len(given), alternative="less").proportion_ci(SURE, "exact")
    return Counted(sum(given), len(given), float(both.low), float(both.high), float(one_sided.high))


def harm(count: int, seed: int = 0, progress: Progress = quiet) -> Harm:
    """Put simulated complaints to the decision.

    count  of foreign causes, all alike often [-]; a quarter as many of a mode are put as well
    seed   of all draws [-]
    """
    return Harm(seed, tuple(_put(count, seed, progress)))


def _put(count: int, seed: int, progress: Progress) -> Iterator[Put]:
    own = max(count // OWN, 1)
    causes = [FOREIGN[i % len(FOREIGN)] for i in range(count)] + [Cause.MODE] * own
    numbers = [i // len(FOREIGN) for i in range(count)] + list(range(own))
    for i, (cause, number) in enumerate(zip(causes, numbers, strict=True), 1):
        progress(f"complaint {i} of {len(causes)}: {cause}")
        yield put(simulated(cause, seed, number))


def put(one: Simulated) -> Put:
    """One complaint, put to the decision with each care: the same answers as from the main job.

    Nothing that is said changes the vehicle, and a damper is sized and surveyed only where nothing that was
    looked at or tried takes the advice away.
    """
    vehicle = host(one.case)
    advised = {care: advises(told(vehicle, case)) for care, case in one.said.items()}
    cure = one.cause is Cause.MODE and by_numbers(host(one.actual), doubt=False)
    return Put(one.cause, advised, cure, _frame(one.case))


def _frame(case: Case) -> Frame:
    if case.plan.stiffness_known:
        return Frame.KNOWN
    return Frame.RAILS if case.plan.frame_source == "rail" else Frame.GUESSED
