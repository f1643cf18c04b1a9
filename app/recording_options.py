"""The options that commands share which read recordings: what its columns are, its rate, its pulses."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from ..model.faults import Fault
    from ..model.measured.sensors import Sensor

Command = TypeVar("Command", bound=Callable[..., Any])
SENSOR = "ch 1 = driver's floor, vertical, g"


OPTIONS: tuple[Callable[[Any], Any], ...] = (
    click.option(
        "--pulses", metavar="FILE", help="Pulses of a shaft: their waveform, or a list of their times."
    ),
    click.option(
        "--teeth", type=click.IntRange(1, 1000), default=1, show_default=True, help="Of the pulse wheel."
    ),
    click.option("--missing", type=click.IntRange(0, 5), help="Teeth that are not there.  [default: found]"),
    click.option("--rate", metavar="RATE", help='Of files that do not say their times, such as "400 Hz".'),
    click.option(
        "--sensor",
        "sensors",
        multiple=True,
        metavar='"COLUMN = POINT, …"',
        help=f'Where a column was taken: "{SENSOR}"; direction, side, "inverted" and the size of one unit '
        "may follow the point.  Give one for each sensor.",
    ),
)


def of_a_recording(command: Command) -> Command:
    """Gives a command the options `pulses`, `teeth`, `missing`, `rate` and `sensors`."""
    for option in reversed(OPTIONS):
        command = option(command)
    return command


def quantity(option: str, text: str | None, unit: str, example: str, faults: list[Fault]) -> float | None:
    """An option as a number above zero, in SI units; a fault of it goes to `faults`."""
    from ..model.faults import Fault
    from ..model.units import UnitFault, Wants
    from ..model.units import read as read_quantity

    if text is None:
        return None
    try:
        return float(read_quantity(text, Wants(unit, example, above=0.0)).value)
    except UnitFault as fault:
        wanted = fault.wanted + (f" ({fault.hint})" if fault.hint else "")
        faults.append(Fault("", None, option, fault.given, wanted, fault.near, f'{option} "{example}"'))
        return None


def sensors_of(texts: Sequence[str], faults: list[Fault]) -> tuple[Sensor, ...]:
    """Sensors as options write them; what cannot be read goes to `faults`."""
    return tuple(one for one in (_sensor(text, faults) for text in texts) if one is not None)


def _sensor(text: str, faults: list[Fault]) -> Sensor | None:
    """A sensor as an option writes it: a column, then its point and what else is known of it."""
    from ..model.faults import Fault
    from ..model.measured.sensors import DIRECTIONS, SIDES, Sensor, sensitivity_of

    column, equals, rest = text.rpartition("=")
    point, *words = [part.strip() for part in rest.split(",")]
    told: dict[str, Any] = {}
    try:
        if not (equals and column.strip() and point):
            raise ValueError("wanted a column, an equals sign and a point")
        for word in words:
            if word in DIRECTIONS:
                told["direction"] = word
            elif word in SIDES:
                told["side"] = word
            elif word == "inverted":
                told["sign"] = -1.0
            else:
                told["sensitivity"] = sensitivity_of(word if word[:1].isdigit() else f"1 {word}")
        return Sensor(column.strip(), point, **told)
    except ValueError as error:
        wanted = f"{error}; beside the point: {', '.join((*DIRECTIONS, *SIDES, 'inverted'))} or a size"
        faults.append(Fault("", None, "--sensor", text, wanted, example=f'--sensor "{SENSOR}"'))
        return None
