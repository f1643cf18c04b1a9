"""What a technician is asked for a starter case, in the order of the asking."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..sizing.walk_items import ITEMS

METRIC, US = 0, 1


@dataclass(frozen=True)
class Question:
    """One fact: how it is asked, and what may be answered.

    kind     a quantity of the case file ("wheelbase"), or tyre, one of, place, band, title
    examples, usually, guess   as a metric and as a US user writes them
    usual    lowest and highest that is met in practice, in SI
    origin   where an answer without an origin of its own was read
    guess    stands in for a fact that no case can do without
    words    that may be answered, and the flag of each, if it has one
    needed   to be given, or guessed only where that is allowed
    default  what no answer means; nothing: it is left out, as `left_out` says
    """

    fact: str
    ask: str
    why: str
    kind: str
    examples: tuple[str, str]
    usual: tuple[float, float] = (-1e99, 1e99)
    usually: tuple[str, str] = ("", "")
    origin: str = ""
    guess: tuple[str, str] | None = None
    words: Mapping[str, str] | None = None
    needed: bool = False
    default: str = ""
    left_out: str = ""

    @property
    def option(self) -> str:
        """Its option on the command line."""
        return f"--{self.fact.replace('_', '-')}"

    def example(self, system: int | None) -> str:
        """An answer, as a metric (0) or a US (1) user writes it, or both where that is not known."""
        return " or ".join(dict.fromkeys(self.examples)) if system is None else self.examples[system]

    def such_as(self, system: int | None) -> str:
        """What is met in practice, and an answer; nothing where the question itself lists them."""
        if self.words or self.kind == "place":
            return ""
        usually = self.usually[system or METRIC]
        usual = f"Usual: {usually}.  " if usually else ""
        return f"{usual}Such as: {self.example(system)}."

    def help(self, word: str = "") -> str:
        """What its option is for, or the flag of a word."""
        if word:
            return f"{self.ask.partition(':')[0]}: {word}."
        listed = self.words or self.kind == "place"
        return f"{self.ask}." if listed else f"{self.ask}; such as {self.example(None)}."

    def silence(self, system: int | None) -> str:
        """What no answer means, in words."""
        if self.guess is None:
            return self.default or self.left_out
        return self.guess[system or METRIC]


LOAD = (
    ("1.5 t", "3300 lb"),
    (250.0, 12e3),
    ("250 kg to 12 t", "550 to 26000 lb"),
    "measured: scale",
)
SPRINGS = {"coil": "", "leaf": "", "air": "", "other": ""}
BY_RULE = "left out: it is estimated by rule"

WALK = tuple(
    Question(
        f"check_{name}",
        f"On the walk round, {item.name}: good, or bad",
        f"Look for: {item.look}.",
        "one of",
        ("good", "good"),
        words={"good": "", "bad": ""},
        left_out="not looked at, which nothing stands in for",
    )
    for name, item in ITEMS.items()
)
"""Each item by itself, so that whoever says good has read what it is about."""

QUESTIONS = (
    Question(
        "wheelbase",
        "Wheelbase: middle of the front wheels to middle of the rear wheels, by tape measure",
        "It sets how the body pitches, and when the rear wheels meet what the front wheels met.",
        "wheelbase",
        ("3.6 m", "141 in"),
        (2.0, 8.0),
        ("2 to 8 m", "80 to 320 in"),
        "measured: tape",
        ("3.7 m ± 0.7 m (assumed: a guess)", "146 in ± 28 in (assumed: a guess)"),
        needed=True,
    ),
    Question(
        "front_load",
        "Weight on the front axle, on a scale, loaded as when it shakes (no rating from the door)",
        "What an axle carries says how stiff its springs and tyres must be; no rule can stand in for it.",
        "mass",
        *LOAD,
        ("1.6 t ± 40 % (assumed: a guess)", "3500 lb ± 40 % (assumed: a guess)"),
        needed=True,
    ),
    Question(
        "rear_load",
        "Weight on the rear axle, on a scale, loaded as when it shakes (no rating from the door)",
        "As for the front axle; the two together say where the middle of the weight lies.",
        "mass",
        *LOAD,
        ("2 t ± 40 % (assumed: a guess)", "4400 lb ± 40 % (assumed: a guess)"),
        needed=True,
    ),
    Question(
        "tyre",
        "Tyre size, as on the sidewall",
        "One turn of the wheel, in metres: it turns each frequency into a road speed.",
        "tyre",
        ("225/70R19.5", "LT245/75R17"),
        guess=("2.45 m ± 20 % (assumed: a guess)", "96 in ± 20 % (assumed: a guess)"),
        needed=True,
    ),
    Question(
        "pressure",
        "Tyre pressure at the front, by the door placard",
        "A tyre is as stiff as its air.",
        "pressure",
        ("5.5 bar", "65 psi"),
        (1.5e5, 9.5e5),
        ("1.5 to 9.5 bar", "22 to 138 psi"),
        "published: door placard",
        left_out="left out: the tyres are estimated from what they carry",
    ),
    Question(
        "rear_pressure",
        "Tyre pressure at the rear, by the door placard",
        "Dual wheels and loaded axles often have another.",
        "pressure",
        ("5.5 bar", "65 psi"),
        (1.5e5, 9.5e5),
        ("1.5 to 9.5 bar", "22 to 138 psi"),
        "published: door placard",
        left_out="as at the front",
    ),
    Question(
        "rear_wheels",
        "Rear wheels: single, or dual (four tyres on the axle)",
        "Four tyres are twice as stiff as two, and heavier.",
        "one of",
        ("dual", "dual"),
        words={"single": "--single-rear", "dual": "--dual"},
        default="single",
    ),
    Question(
        "front_spring",
        "Springs of the front axle: coil, leaf, air or other",
        "A leaf pack holds itself by friction and is far stiffer for small shakes.",
        "one of",
        ("coil", "coil"),
        words=SPRINGS,
        left_out=BY_RULE,
    ),
    Question(
        "rear_spring",
        "Springs of the rear axle: coil, leaf, air or other",
        "As at the front.",
        "one of",
        ("leaf", "leaf"),
        words=SPRINGS,
        left_out=BY_RULE,
    ),
    Question(
        "built_on",
        "Built on: frame (a body on a separate ladder frame), or shell (one welded body)",
        "A separate frame bends at speeds that are driven; a shell hardly does.",
        "one of",
        ("frame", "frame"),
        words={"frame": "--frame", "shell": "--shell"},
        default="frame",
    ),
    Question(
        "complaint",
        "Road speeds at which it shakes, from and to",
        "The answer is about these speeds, and a damper is judged there.",
        "band",
        ("72 to 80 km/h", "45 to 50 mph"),
        (5.0, 40.0),
        ("20 to 140 km/h", "12 to 90 mph"),
        left_out="left out: the answer is about the worst speed that is found",
    ),
    Question(
        "where",
        'Where it is felt, in your words; "front end" and "rear end" are known',
        "The shake is computed at this place.",
        "place",
        ("driver's floor", "driver's floor"),
        default="driver's floor",
    ),
    Question(
        "station",
        "That place: how far behind the front wheels, by tape measure; ahead of them with a minus",
        "Near a point that a mode leaves at rest there is little to feel, and little to cure.",
        "station",
        ("1.1 m", "42 in"),
        (-3.0, 12.0),
        ("-3 to 12 m", "-120 to 470 in"),
        "measured: tape",
        ("1 m ± 0.5 m (assumed: a guess)", "40 in ± 20 in (assumed: a guess)"),
    ),
    Question(
        "direction",
        "Direction in which it is felt: vertical, fore-aft, side to side, steering, roll or twist",
        "A damper of this kind is for up and down; some of the others come first, and elsewhere.",
        "one of",
        ("vertical", "vertical"),
        words=dict.fromkeys(("vertical", "fore-aft", "side to side", "steering", "roll", "twist"), ""),
        default="vertical",
    ),
    Question(
        "how_fast",
        "How fast it shakes there: countable, blur (a mirror, a lever) or buzz (hands, feet, seat)",
        "Shafts and engines buzz; frames, axles and wheels are slower. One who does not drive says it.",
        "one of",
        ("blur", "blur"),
        words={"countable": "", "blur": "", "buzz": ""},
        left_out="not known",
    ),
    Question(
        "other_wheels",
        "On wheels that run smoothly elsewhere the shake: stayed, moved, vanished, weaker or stronger",
        "A wheel or tyre at fault is the usual cause, and no damper is for it.",
        "one of",
        ("stayed", "stayed"),
        words={"stayed": "", "moved": "", "vanished": "", "weaker": "", "stronger": ""},
        left_out="not tried",
    ),
    *WALK,
    Question(
        "mass_limit",
        "How heavy a damper may be",
        "A heavier one does more, and takes more of what the vehicle may carry.",
        "mass",
        ("30 kg", "60 lb"),
        (2.0, 300.0),
        ("2 to 300 kg", "5 to 660 lb"),
        left_out="left out: 1 % of the vehicle, at most 60 kg",
    ),
    Question(
        "name",
        "A name for the case",
        "It heads the answer and the report.",
        "title",
        ("Flatbed, shakes laden", "Flatbed, shakes laden"),
        left_out="made from the speeds at which it shakes",
    ),
)
