"""A remedy before it is judged: what it changes, and what it asks of whoever does it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from ..model.building import build
from ..model.numbers import Known, Numbers
from ..model.plan import Plan
from ..model.road import Input, Level, Roads, inputs
from ..model.settle import with_losses
from ..model.vehicle import Vehicle
from .changes import Change, as_it_is

InputChange = Callable[[Input], Input]
CaseChange = Callable[[Plan, Numbers], tuple[Plan, Numbers]]

FRAME_CAUTION = "the vehicle maker's body-builder guide and a licensed engineer decide on the frame"
MOUNTS_CAUTION = "mounts that hold a cab or body in a crash: as the maker allows, by someone licensed"
LOAD_CAUTION = "weight, axle and tyre ratings hold; secured as cargo must be"
TYRES_CAUTION = "of at least the same load rating and speed; within the maker's sizes"


def same_input(cause: Input) -> Input:
    """The input as it is."""
    return cause


def same_case(plan: Plan, numbers: Numbers) -> tuple[Plan, Numbers]:
    """The case as it is."""
    return plan, numbers


@dataclass(frozen=True)
class Bare:
    """A vehicle as it is built, or many at once, before any change: put together once for all remedies.

    terms  shapes of its frame [-]
    """

    plan: Plan
    numbers: Numbers
    terms: int

    @cached_property
    def vehicle(self) -> Vehicle:
        """Its losses are not dampers yet."""
        return build(self.plan, self.numbers, self.terms)


@dataclass(frozen=True)
class Proposal:
    """One remedy: a change of the vehicle, of what it runs on, or of the case it is built from.

    family   what is changed: wheels, duals, pressure, tyres, leaves, shocks, load, ballast, mounting, mounts,
        frame, speed, damper
    name     for people, in their units; `detail` what is to be reached, where the name does not say it
    change   of the vehicle; `base` is what it is compared with
    hung     what is hung on, as a damper is: losses that follow from loss factors stay as they were
    inputs   of each cause
    case     of plan and numbers
    given    numbers that the ratings are checked with, where they change
    place    the point that carries more weight, for how high it sits
    effort   in words, and minutes [-] where that is common practice (no source)
    caution  who must be asked, or what must hold
    """

    family: str
    name: str
    change: Change = as_it_is
    base: Change = as_it_is
    hung: Change = as_it_is
    inputs: InputChange = same_input
    case: CaseChange = same_case
    given: Mapping[str, Known] = field(default_factory=dict)
    place: str = ""
    detail: str = ""
    effort: str = ""
    minutes: int | None = None
    caution: str = ""

    def vehicle(self, plan: Plan, numbers: Numbers, terms: int) -> Vehicle:
        """The changed vehicle of a plan and its numbers, or many of them, with losses as dampers.

        terms  shapes of the frame [-]
        """
        return self.made(Bare(plan, numbers, terms))

    def made(self, bare: Bare) -> Vehicle:
        """The changed vehicle, or many of them, with losses as dampers."""
        built = bare.vehicle
        if self.case is not same_case:
            built = build(*self.case(bare.plan, bare.numbers), bare.terms)
        return self.hung(with_losses(self.change(built)))

    def causes(self, roads: Roads, vehicle: Vehicle, slowest: float) -> tuple[Input, ...]:
        """What the changed vehicle meets.

        slowest  [m/s]
        """
        return tuple(self.inputs(cause) for cause in inputs(roads, vehicle, slowest))

    @property
    def before(self) -> Proposal:
        """What it is compared with, as a proposal of its own."""
        return Proposal(self.family, self.name, self.base)


def truer(shares: Mapping[str, float]) -> InputChange:
    """Some causes with a share of their height and imbalance; all others as they are.

    shares  [-] by the cause's name

    >>> from ..model.example import small_truck
    >>> front, rear = inputs(Roads((1,)), small_truck(), 5.0)
    >>> [truer({rear.name: 0.5})(one).height.typical / one.height.typical for one in (front, rear)]
    [1.0, 0.5]
    """

    def change(cause: Input) -> Input:
        share = shares.get(cause.name)
        if share is None or cause.height is None:
            return cause
        height, imbalance = (
            Level(share * of.typical, share * of.worst) for of in (cause.height, cause.imbalance)
        )
        return replace(cause, height=height, imbalance=imbalance)

    return change
