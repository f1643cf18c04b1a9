"""Do the estimating rules' intervals hold what others have published?

`vehicles/` has the published sets with the source of each row: axle totals in SI, empty where not stated.
Each quantity is estimated from what a placard and a look under the vehicle would give of that row (loads,
wheelbase, size and number of tyres, kind of spring, driven or not), and counted where the published value
lies inside the rule's 90 % interval.  Two bounds: the count is not below the 1 % point of a binomial with
p = 0.9, and half of the intervals are narrower (upper end over lower end) than a cap, so that doubt is not
bought wholesale.  Rows of one vehicle are taken as independent.

What the counts are worth: the rules for light axles (unsprung mass, coils, shocks, tyre deflection) were
mended with these rows in view, so for them this is a fit, not a forecast; pitch inertia and the tyre's rate
by size and pressure were not touched.  Rows are no random sample: several were chosen by their authors for a
study of controllers or mounts, and it is their pitch inertia that lies outside.  Left out are vehicles of
textbook exercises whose numbers were chosen for the arithmetic, shocks that are not linear, springs behind
levers, and whatever a model has word for word from another vehicle.  A quarter car does not say whether it is
driven; it is taken as not driven.

The six vehicles from the 2.5 t truck on came after the rules, so they were a forecast, and a poor one: of
their 23 numbers 9 lay inside.  They are models of trucks and a bus, most of them without their payload and
for bad ground: springs made for what is not on board, and overhangs shorter than a van's.  The rules' middles
were left where they were, for the tool is asked about vehicles with their load; the spreads of deflection,
radius of gyration and unsprung mass were widened until they cover these as well, so it is a fit again.
"""

import csv
from collections import defaultdict
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import binom

from counterbounce.model import estimates
from counterbounce.model.axle_estimates import GRAVITY
from counterbounce.model.numbers import Known, Numbers
from counterbounce.model.tyres import parse_size

HERE = Path(__file__).with_name("vehicles")
SCORES = 2000
CAPS = {  # upper end over lower end; of the centre of gravity in shares of the wheelbase, added to 1
    "centre of gravity": 1.04,
    "sprung mass": 1.12,
    "pitch inertia": 2.05,
    "unsprung mass, by tyre size": 2.2,
    "unsprung mass, by load": 2.2,
    "tyre rate, by size and pressure": 1.35,
    "tyre rate, by load": 2.2,
    "spring rate": 3.3,
    "damping": 3.6,
}


def table(name):
    with (HERE / f"{name}.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


VEHICLES = {row["vehicle"]: row for row in table("vehicles")}
AXLES = defaultdict(list)
for _row in table("axles"):
    AXLES[_row["vehicle"]].append(_row)


def number(row, column):
    return float(row[column]) if row[column] else None


def sprung(vehicle, axle):
    """What the springs of an axle carry [kg], by the levers of the published centre of gravity."""
    whole = number(vehicle, "sprung_mass")
    if axle["axle"] == "only" or whole is None:
        return whole
    share = number(vehicle, "centre") / number(vehicle, "wheelbase")
    return whole * (share if axle["axle"] == "rear" else 1 - share)


def placard(vehicle, axle):
    """What can be read of one axle without taking it apart."""
    unsprung = number(axle, "unsprung")
    load = number(axle, "carried") or sprung(vehicle, axle) + (unsprung or 0.0)
    facts = {"load": load, "tyres": float(axle["tyres"]), "driven": float(axle["driven"])}
    if axle["size"]:
        tyre = parse_size(axle["size"])
        facts |= {"tyre_width": tyre.width, "tyre_diameter": tyre.diameter}
    facts |= {f"is_{axle['spring']}": 1.0} if axle["spring"] else {}
    facts |= {"is_solid": float(axle["type"] == "solid")} if axle["type"] else {}
    facts |= {"massless": 1.0} if unsprung is None else {}
    return {f"axle.{axle['axle']}.{fact}": value for fact, value in facts.items()}


def interval(given, path):
    """The 5 % and 95 % points of an estimate, from the spreads of all that it rests on."""
    numbers = Numbers({k: Known(v, 0.0, "published") for k, v in given.items()}, estimates.RULES)
    numbers[path]
    rng = np.random.default_rng(1)
    many = numbers.plausible(lambda i: rng.standard_normal(SCORES))[path]
    return np.quantile(np.broadcast_to(many, SCORES), [0.05, 0.95])


def axle_checks(vehicle, axle):
    """(quantity, path, published value) of one axle, where the source states it."""
    name, size = f"axle.{axle['axle']}", "by tyre size" if axle["size"] else "by load"
    yield f"unsprung mass, {size}", f"{name}.unsprung_mass", number(axle, "unsprung")
    yield "tyre rate, by load", f"{name}.tyre_rate", number(axle, "tyre_rate")
    yield "spring rate", f"{name}.static_spring_rate", number(axle, "spring_rate")
    yield "damping", f"{name}.damping", number(axle, "damping")


def vehicle_checks(vehicle, axles):
    if vehicle["centre"]:
        yield "pitch inertia", "vehicle.pitch_inertia", number(vehicle, "pitch_inertia")
        if all(axle["unsprung"] for axle in axles):
            yield "centre of gravity", "vehicle.centre_of_gravity", number(vehicle, "centre")
            yield "sprung mass", "vehicle.sprung_mass", number(vehicle, "sprung_mass")


def vehicle_rows():
    for name, vehicle in VEHICLES.items():
        axles = AXLES[name]
        wheelbase = number(vehicle, "wheelbase") or 4.0  # nothing that is asked without one leans on it
        given = {"vehicle.wheelbase": wheelbase}
        for axle in axles:
            given |= placard(vehicle, axle)
        checks = [(name, *check) for check in vehicle_checks(vehicle, axles)]
        checks += [(f"{name}, {a['axle']}", *check) for a in axles for check in axle_checks(vehicle, a)]
        for row, quantity, path, value in checks:
            if value is not None:
                low, high = interval(given, path)
                offset = quantity == "centre of gravity"
                width = 1 + (high - low) / wheelbase if offset else high / low
                yield quantity, row, low, value, high, width


def tyre_rows():
    for row in table("tyres"):
        tyre = parse_size(row["size"])
        facts = {"tyre_width": tyre.width, "tyre_aspect": tyre.aspect, "rim_diameter": tyre.rim, "tyres": 1.0}
        facts |= {"load": float(row["load"]) / GRAVITY, "pressure": float(row["pressure"])}
        low, high = interval({f"axle.only.{k}": v for k, v in facts.items()}, "axle.only.tyre_rate")
        yield (
            "tyre rate, by size and pressure",
            f"{row['size']} at {float(row['pressure']) / 1e5:.1f} bar",
            low,
            float(row["rate"]),
            high,
            high / low,
        )


@pytest.fixture(scope="module")
def rows():
    by_quantity = defaultdict(list)
    for quantity, *row in (*vehicle_rows(), *tyre_rows()):
        by_quantity[quantity].append(row)
    return by_quantity


def inside(rows):
    return sum(low <= value <= high for _, low, value, high, _ in rows)


def coverage(by_quantity):
    """The table that the test prints: how many of the published values lie inside, and which do not."""
    for quantity, found in sorted(by_quantity.items()):
        width = np.median([row[-1] for row in found])
        least = int(binom.ppf(0.01, len(found), 0.9))
        yield (
            f"{quantity:32} {inside(found):2} of {len(found):2} inside 90 % (least {least:2}), "
            f"median width {width:.2f}"
        )
        for name, low, value, high, _ in found:
            if not low <= value <= high:
                yield f"    {value:10.4g} outside {low:.4g} to {high:.4g}: {name}"


def test_the_table_is_printed(rows, capsys):
    lines = list(coverage(rows))
    assert set(rows) == set(CAPS)
    with capsys.disabled():
        print("\n" + "\n".join(lines))


@pytest.mark.parametrize("quantity", CAPS)
def test_published_values_lie_inside_as_often_as_nine_in_ten_makes_plausible(rows, quantity):
    found = rows[quantity]
    assert len(found) >= 6
    assert inside(found) >= binom.ppf(0.01, len(found), 0.9)


@pytest.mark.parametrize("quantity", CAPS)
def test_intervals_are_not_bought_by_their_width(rows, quantity):
    assert np.median([row[-1] for row in rows[quantity]]) <= CAPS[quantity]


def test_every_row_has_a_source_and_every_axle_a_vehicle():
    assert all(len(row["source"]) > 7 for row in (*VEHICLES.values(), *table("tyres")))
    assert set(AXLES) == set(VEHICLES)
