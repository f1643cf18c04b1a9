"""A damper in hand, as options of a command: what it weighs, how it is tuned and damped, where it hangs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from ..model.case import Case
    from ..model.faults import Fault
    from ..sizing.absorber import Damper

INSTEAD = "A damper in hand instead of the best one: "
HELP = {
    "--mass": 'its moving mass, such as "20 kg".',
    "--tuned": 'Its own frequency on a fixed place, such as "7.1 Hz"; or',
    "--stiffness": 'its spring rate, all springs together, such as "40 kN/m"; or',
    "--sag": 'how far its spring gives under its mass, such as "5 mm".',
    "--damping": 'Share of its own critical damping, such as "8 %"; or',
    "--dashpot": 'its dashpot rate, such as "150 N*s/m".',
    "--at": 'Where it hangs: a point of the case, such as "rear end".',
}


def damper_options(required: bool = False) -> Callable[[Any], Any]:
    """Gives a command the options of a damper in hand; `--at` comes as `place`, the others by their names.

    >>> @click.command
    ... @damper_options()
    ... def hang(place, **options):
    ...     pass
    >>> [one.name for one in hang.params]
    ['mass', 'tuned', 'stiffness', 'sag', 'damping', 'dashpot', 'place']
    """

    def with_options(command: Any) -> Any:
        for name, told in reversed(HELP.items()):
            names = (name, "place") if name == "--at" else (name,)
            if name == "--mass":
                told = told.capitalize() if required else INSTEAD + told
            needed = required and name in ("--mass", "--at")
            command = click.option(*names, required=needed, help=told)(command)
        return command

    return with_options


def damper_in_hand(case: Case, place: str | None, options: Mapping[str, str | None]) -> Damper | None:
    """The damper that the options describe; None: they describe none.

    Raises CounterbounceError for options that do not say where it hangs, and for what `damper_of` refuses.

    >>> from ..model.example import small_case
    >>> damper_in_hand(small_case(), None, {"mass": None}) is None
    True
    """
    if place is not None:
        return damper_of(case, place, options)
    if any(text is not None for text in options.values()):
        from ..model.faults import CounterbounceError, Fault

        wanted = "wanted with the damper in hand: where it hangs"
        raise CounterbounceError([Fault("", None, "--at", "", wanted, example='--at "rear end"')])
    return None


def damper_of(case: Case, place: str, options: Mapping[str, str | None]) -> Damper:
    """The damper that the options describe.  Raises CounterbounceError with every fault of them at once.

    >>> from ..model.example import small_case
    >>> damper_of(small_case(), "rear end", {"mass": "20 kg", "tuned": "3 Hz", "damping": "10 %"}).mass
    20.0
    """
    from ..model.building import build
    from ..model.faults import CounterbounceError, Fault, nearest
    from ..sizing.written import written

    faults: list[Fault] = []
    damper: Damper | None = None
    try:
        damper = written(place, **{name: text for name, text in options.items() if text is not None})
    except CounterbounceError as error:
        faults += [_as_option(fault) for fault in error.faults]
    points = build(case.plan, case.numbers).points
    if place not in points:
        faults.append(Fault("", None, "--at", place, f"one of {', '.join(points)}", nearest(place, points)))
    if faults or damper is None:
        raise CounterbounceError(faults)
    return damper


def _as_option(fault: Fault) -> Fault:
    """A fault of the library's words, in the words of the command line."""
    key = " ".join(f"--{name}" for name in fault.key.split(" and ") if name)
    choices = tuple(f"--{name}" for name in fault.choices)
    example = f"--{fault.example.replace('=', ' ', 1)}" if choices else fault.example
    return replace(fault, file="", key=key, example=example, choices=choices)
