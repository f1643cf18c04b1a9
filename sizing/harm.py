"""How often a damper is advised where it must not be: simulated complaints, each put to the whole decision.

The vehicles, their faults and what a person says of them are drawn as in `complaints`; a damper is advised
where the answer is that it helps.  The share is counted by cause and by how carefully somebody looked, and
beside it the share of healthy vehicles met by a mode, which a damper would help, that are told so.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from .assess import advises, without_sizing
from .complaints import FOREIGN, Care, Cause, Simulated, simulated
from .evidence import with_wheels
from .study import Host, Progress, host, quiet
from .verdict import Outcome, Verdict

GOAL = 0.005  # [-] of complaints that no damper is for
SURE = 0.95  # [-] that an interval holds the share
PATIENCE = 20  # complaints looked at for each that a damper would help


@dataclass(frozen=True)
class Put:
    """One simulated complaint, put to the decision.

    advised  whether a damper was advised, by care
    """

    cause: Cause
    number: int
    advised: dict[Care, bool]


@dataclass(frozen=True)
class Counted:
    """How many of some complaints a damper was advised for.

    low, high  where the share lies, 95 % (Clopper and Pearson, 1934, Biometrika 26; from memory) [-]
    """

    advised: int
    of: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """Of them [-]."""
        return self.advised / self.of if self.of else 0.0

    @property
    def met(self) -> bool | None:
        """Whether the goal for harm is met; None where too few were simulated to say."""
        return True if self.high <= GOAL else False if self.low > GOAL else None


@dataclass(frozen=True)
class Harm:
    """Dampers advised, by cause and care.

    harmful  where the cause is foreign to a damper, all causes alike often
    power    where a damper would help the healthy vehicle, were its numbers known
    """

    seed: int
    put: tuple[Put, ...]

    def of(self, cause: Cause, care: Care) -> Counted:
        """One cause."""
        return counted(p.advised[care] for p in self.put if p.cause is cause)

    def harmful(self, care: Care) -> Counted:
        """All causes that no damper is for."""
        return counted(p.advised[care] for p in self.put if p.cause in FOREIGN)


def counted(advised: Iterable[bool]) -> Counted:
    """Count, with the interval of the share.

    >>> counted([True] + [False] * 99)
    Counted(advised=1, of=100, low=0.00025314603297742, high=0.05445938539208035)
    """
    from scipy.stats import binomtest

    given = list(advised)
    if not given:
        return Counted(0, 0, 0.0, 1.0)
    found = binomtest(sum(given), len(given)).proportion_ci(SURE, "exact")
    return Counted(sum(given), len(given), float(found.low), float(found.high))


def harm(cases: int, seed: int = 0, progress: Progress = quiet) -> Harm:
    """Put simulated complaints to the decision, and half as many that a damper is for.

    cases  of foreign cause, all causes alike often [-]
    """
    put = [*_foreign(cases, seed, progress), *_own(max(cases // 4, 1), seed, progress)]
    return Harm(seed, tuple(put))


def _foreign(cases: int, seed: int, progress: Progress) -> Iterator[Put]:
    for i in range(cases):
        progress(f"complaint {i + 1} of {cases}")
        cause = FOREIGN[i % len(FOREIGN)]
        yield put(simulated(cause, seed, i // len(FOREIGN)), i // len(FOREIGN))


def put(one: Simulated, number: int = 0) -> Put:
    """One complaint, put to the decision with each care.

    What is found without instruments can only take an advice away: the damper is sized once for all cares.
    """
    told = host(one.case)
    open_ = {care: without_sizing(replace(told, case=said)) is None for care, said in one.said.items()}
    return Put(one.cause, number, open_)
