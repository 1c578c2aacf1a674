"""The questions: each with its fields, a usual range and an example; and how an answer is read."""

from __future__ import annotations

import re
from dataclasses import dataclass

from tipline import units
from tipline.asking.scales import SCALES, centre_of_answer
from tipline.errors import InputError
from tipline.model.words import UNDER_IT

__all__ = ["BY_SCALES", "NOT_KNOWN", "QUESTIONS", "Field", "LiftQuestion", "read_answer"]

BY_SCALES = "centre_by"
"""Stands beside values of a load's centre that scales gave: these are measured, not told."""
NOT_KNOWN = ("?", "don't know", "dont know", "not known", "unknown", "")
"""What says that nobody knows; one "?" in a list says so of that entry."""


@dataclass(frozen=True)
class Field:
    """One value of an answer: its key, what it is, its dimension; ``words``: what may be said, and what that means.

    ``whole``: a number without a unit. ``origin``: how such a value is known.
    """

    key: str
    what: str
    dimension: str = ""
    words: tuple[tuple[str, str], ...] = ()
    whole: bool = False
    origin: str = "told"


@dataclass(frozen=True)
class LiftQuestion:
    """One question, in the words of the trade; an answer holds its fields in this order, the last ones may be left out.

    ``where``: in which file, and before which key, its values stand: their problems are told as its own. ``none``: the
    answer that "no" and "none" stand for.
    """

    key: str
    ask: str
    usual: str
    example: str
    fields: tuple[Field, ...]
    where: tuple[str, ...]
    none: str = ""


_HOW_KNOWN = (
    ("weighed", "weighed"), ("nameplate", "plate"), ("plate", "plate"), ("drawing", "drawing"),
    ("packing list", "plate"), ("told", "told"), ("guess", "assumed"), ("guessed", "assumed"),
)  # fmt: skip
_HELD_BY = (
    ("forks", "forks"), ("fork", "forks"), ("jib", "jib"), ("hook", "jib"), ("hung", "jib"), ("crane", "jib"),
)  # fmt: skip
_FLOORS = (
    ("slab", "slab"), ("concrete", "slab"), ("slab on soil", "slab on soil"), ("suspended", "suspended"),
    ("deck", "suspended"), ("asphalt", "asphalt"), ("gravel", "compacted gravel"), ("crushed rock", "crushed rock"),
    ("soft clay", "soft clay"), ("firm clay", "firm clay"), ("stiff clay", "stiff clay"), ("rigid", "rigid"),
    ("rock", "rigid"),
)  # fmt: skip
_TYRES = (("single", "2"), ("singles", "2"), ("twins", "4"), ("twin", "4"))
_BELOW = (("soil", "soil"), ("basement", UNDER_IT), ("cellar", UNDER_IT), ("duct", UNDER_IT), ("tunnel", UNDER_IT))

QUESTIONS: tuple[LiftQuestion, ...] = (
    LiftQuestion(
        "load_size",
        "How long (out from the truck), wide and high is the load?",
        "0.5 m to 4 m each",
        "1.8 m x 1.4 m x 1.6 m",
        (
            Field("length", "length", "length"),
            Field("width", "width", "length"),
            Field("height_of_load", "height", "length"),
        ),
        ("scenario:load.size",),
    ),
    LiftQuestion(
        "load",
        "What does the load weigh, with nothing left off, and how is that known (weighed, nameplate, drawing, guess)?",
        "0.5 t to 40 t",
        "5.2 t, nameplate",
        (Field("mass", "weight", "mass"), Field("weight_from", "how it is known", words=_HOW_KNOWN)),
        ("scenario:load.mass", "scenario:load.weight_from"),
    ),
    LiftQuestion(
        "load_centre",
        "How far out from its back is the load's centre of gravity, and how high above its underside? Or readings of "
        "scales at back and front, how far apart; with the front lifted: the reading at the back, the rise",
        "half the length, 0.3 to 0.6 of the height; or scales 2.6 t, 2.6 t, 1.8 m, lifted 2.8 t, 0.3 m",
        "0.9 m, 0.7 m",
        (Field("out", "centre out from its back", "length"), Field("up", "centre above its underside", "length")),
        ("scenario:load.load_centre", "scenario:load.height_of_centre", "scenario:load.centre_offset"),
    ),
    LiftQuestion(
        "held",
        "Is it on the forks or hung from the jib? On the jib: how far out from the fork face is the hook?",
        "hook 0.8 m to 3 m out",
        "jib, 1.6 m",
        (
            Field("attachment", "forks or jib", words=_HELD_BY),
            Field("reach", "hook out from the fork face", "length", origin="measured"),
        ),
        ("scenario:setup.attachment", "scenario:setup.jib_reach"),
    ),
    LiftQuestion(
        "height",
        "How high are the forks (on the jib: the hook) over the floor at the highest?",
        "0.2 m to 8 m",
        "3.2 m",
        (Field("height", "greatest height", "length"),),
        ("scenario:setup.fork_height", "scenario:setup.hook_height"),
    ),
    LiftQuestion(
        "plate",
        "What does the capacity plate say: rated load, at which load centre, up to which fork height?",
        "1.5 t to 60 t, 0.5 m to 1.2 m, 2 m to 8 m",
        "12.25 t, 0.6 m, 5.5 m",
        (
            Field("rated_load", "rated load", "mass", origin="plate"),
            Field("rated_load_centre", "its load centre", "length", origin="plate"),
            Field("lift_height", "its height", "length", origin="plate"),
        ),
        ("machine:plate_and_tape.rated_load", "machine:plate_and_tape.lift_height"),
    ),
    LiftQuestion(
        "weight",
        "What does the truck weigh without a load, counterweight home, slabs on; and how much of it on the drive axle?",
        "0.6 to 1.2 times the rated load; a third of it in front",
        "10.2 t, 3.6 t",
        (
            Field("own_weight", "own weight", "mass", origin="plate"),
            Field("drive_axle_load", "load on the drive axle", "mass", origin="measured"),
        ),
        ("machine:plate_and_tape.own_weight", "machine:plate_and_tape.drive_axle_load"),
    ),
    LiftQuestion(
        "axles",
        "How far are the axles apart, the middles of the outer drive tyres, those of the steer tyres; does the steer "
        "axle swing on a pin (pivoting) or not (fixed)?",
        "1.2 m to 3.5 m, 0.9 m to 2.4 m, 0.8 m to 2.2 m",
        "1.90 m, 1.32 m, 1.24 m, pivoting",
        (
            Field("wheelbase", "wheelbase", "length", origin="measured"),
            Field("drive_track", "track", "length", origin="measured"),
            Field("steer_track", "track of the steer axle", "length", origin="measured"),
            Field("steer_axle_kind", "pivoting or fixed", words=(("pivoting", "pivoting"), ("fixed", "fixed"))),
        ),
        (
            "machine:plate_and_tape.wheelbase",
            "machine:plate_and_tape.drive_track",
            "machine:plate_and_tape.steer_track",
        ),
    ),
    LiftQuestion(
        "tyres",
        "How large are the drive tyres (diameter, width), of which kind (solid, band, pneumatic), single or twins?",
        "0.4 m to 1.1 m, 0.15 m to 0.4 m",
        "0.72 m, 0.30 m, solid, single",
        (
            Field("drive_tyre_diameter", "diameter", "length", origin="measured"),
            Field("drive_tyre_width", "width", "length", origin="measured"),
            Field("tyre_kind", "kind", words=(("solid", "solid"), ("band", "band"), ("pneumatic", "pneumatic"))),
            Field("drive_tyres", "single or twins", words=_TYRES),
        ),
        ("machine:plate_and_tape.drive_tyre",),
    ),
    LiftQuestion(
        "fork_face",
        "How far ahead of the middle of the drive axle is the fork face; what is stamped on one fork: which load, at "
        "which load centre?",
        "0.25 m to 0.8 m; half the rated load or more, at 0.5 m or 0.6 m",
        "0.47 m, 6.5 t, 0.6 m",
        (
            Field("fork_face", "fork face", "length", origin="measured"),
            Field("stamp", "load on the stamp", "mass", origin="plate"),
            Field("stamp_centre", "load centre on the stamp", "length", origin="plate"),
        ),
        ("machine:plate_and_tape.fork_face", "machine:forks.rated_load"),
    ),
    LiftQuestion(
        "counterweight",
        "Does the counterweight slide? What does it weigh, how far can it go out, and how far out is it for this lift?",
        "0.5 t to 15 t, 0.5 m to 1.5 m; 0 t for none that slides",
        "3.4 t, 1.2 m, 0.6 m",
        (
            Field("counterweight_mass", "its weight", "mass", origin="plate"),
            Field("counterweight_stroke", "how far it can go out", "length", origin="measured"),
            Field("extension", "how far it is out", "length"),
        ),
        (
            "machine:plate_and_tape.counterweight",
            "scenario:setup.counterweight_extension",
        ),
        none="0 t",
    ),
    LiftQuestion(
        "slabs",
        "How many ballast slabs are on, and what does one weigh?",
        "0 to 8, 0.2 t to 1 t",
        "2, 0.5 t",
        (
            Field("slabs", "how many", whole=True),
            Field("slab_mass", "weight of one", "mass", origin="plate"),
        ),
        ("machine:plate_and_tape.slab", "scenario:setup.ballast_slabs"),
        none="0",
    ),
    LiftQuestion(
        "floor",
        "What does it stand on (slab, deck, asphalt, gravel, crushed rock, soft clay, firm clay, stiff clay, rigid), "
        "how thick is that, and what lies below (soil, basement)?",
        "slab 0.1 m to 0.4 m",
        "slab, 0.2 m, soil",
        (
            Field("kind", "floor", words=_FLOORS),
            Field("thickness", "how thick", "length"),
            Field("below", "what lies below", words=_BELOW),
        ),
        ("floor:",),
    ),
)

_SPLIT = re.compile(r"\s*,\s*|\s+x\s+|\s*;\s*", re.IGNORECASE)
_BARE = re.compile(r"[-+]?[0-9]*\.?[0-9]+$")
_UNIT = re.compile(r"[A-Za-z'\"]+$")
_COMMA = re.compile(r"([0-9]+),([0-9]+)")


def read_answer(question: LiftQuestion, text: str) -> dict[str, float | str | None]:
    """Return the values of an answer by field [SI], None for what is not known; raises InputError.

    Words stand where they like, with or without a comma; numbers come in the order of the fields, and a unit holds for
    those before it.
    """
    values: dict[str, float | str | None] = {field.key: None for field in question.fields}
    said = " ".join(text.split())
    if said.casefold() in NOT_KNOWN:
        return values
    if question.none and said.casefold() in ("no", "none"):
        said = question.none
    comma = _COMMA.search(said)
    if comma is not None:
        # 10,2 t would be read as 10 t and 2 t
        words = f'"{comma[0]}" can be one number or two; write {comma[1]}.{comma[2]}, {comma[1]}{comma[2]}'
        raise _wrong(question, said, f"{words}, or a space after a comma that sets two values apart")
    if said.casefold().startswith(SCALES):
        return values | _by_scales(question, said)
    parts = [part for piece in _SPLIT.split(said) for part in _apart(question, piece)]
    numbers = [field for field in question.fields if field.dimension or field.whole]
    unit = next((match[0] for part in reversed(parts) if (match := _UNIT.search(part)) and part[0].isdigit()), "")
    for part in parts:
        word = _word(question, part)
        if word is not None:
            if values[word[0]] not in (None, word[1]):
                raise _wrong(question, part, "is told twice, in two ways")
            values[word[0]] = word[1]
        elif not numbers:
            raise _wrong(question, part, "is one more than is asked for, or no word that is known here")
        else:
            field = numbers.pop(0)
            values[field.key] = None if part.casefold() in NOT_KNOWN else _number(question, field, part, unit)
    return values


def _apart(question: LiftQuestion, part: str) -> list[str]:
    """Return the words of a question and what stands before or after them: "jib 1.6 m" are "jib" and "1.6 m"."""
    if _word(question, part) is not None:
        return [part]
    words = sorted((word for field in question.fields for word, _ in field.words), key=len, reverse=True)
    for word in words:
        if part.casefold().startswith(f"{word} "):
            return [word, *_apart(question, part[len(word) :].strip())]
        if part.casefold().endswith(f" {word}"):
            return [*_apart(question, part[: -len(word)].strip()), word]
    return [part]


def _by_scales(question: LiftQuestion, text: str) -> dict[str, float | str | None]:
    if "out" not in (field.key for field in question.fields):
        raise _wrong(question, text, "readings of scales are no answer to this question")
    try:
        out, up = centre_of_answer(text)
    except ValueError as error:
        raise _wrong(question, text, str(error)) from error
    return {"out": out, "up": up, BY_SCALES: SCALES}


def _word(question: LiftQuestion, part: str) -> tuple[str, str] | None:
    for field in question.fields:
        for word, meant in field.words:
            if part.casefold() == word:
                return field.key, meant
    return None


def _number(question: LiftQuestion, field: Field, part: str, unit: str) -> float:
    if field.whole:
        if not (part.isascii() and part.isdigit()) or int(part) > 50:
            raise _wrong(question, part, f"{field.what} is a whole number from 0 to 50")
        return float(part)
    if _BARE.match(part) and unit:
        part = f"{part} {unit}"
    try:
        value = units.parse(part, field.dimension)
    except ValueError as error:
        known = "; ".join(sorted({word for field in question.fields for word, _ in field.words}))
        more = f"; words known here: {known}" if known and not part[:1].isdigit() else ""
        raise _wrong(question, part, f"{field.what}: {error}{more}") from error
    if value < 0.0:
        raise _wrong(question, part, f"{field.what} must be 0 or more")
    return value


def _wrong(question: LiftQuestion, part: str, reason: str) -> InputError:
    remedy = f'Answer as "{question.example}", or "?" where nobody knows'
    return InputError(reason, key=question.key, value=f'"{part[:60]}"', remedy=remedy)
