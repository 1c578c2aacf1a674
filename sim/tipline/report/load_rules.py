"""The rules of greatest and least loads in words: what each asks, how far its number is known, how they are read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from tipline.model.structure import STRUCTURE
from tipline.report.page import Section, Table
from tipline.report.wording import share
from tipline.set_ups.assessment import NOT_RATED
from tipline.set_ups.rules import LEAST

if TYPE_CHECKING:
    from tipline.set_ups.assessment import LoadsReport

__all__ = ["SHORT", "meaning", "notes", "rules_list", "with_meanings"]

SHORT = {
    "plate": "plate",
    "stacking": "stacking slope",
    "travelling": "travelling slope",
    "lateral": "side slope",
    "steer axle": "steer axle",
    "hung, of tipping": "hung-load limit",
    "hung, own stop": "own stop",
    "drive tyres": "drive tyres",
    "forks": "fork stamp",
    "carriage": "carriage moment",
    "mast": "mast moment",
}
"""What a cell calls the rule that is nearest there."""


class _Rule(NamedTuple):
    """What a rule asks, in one line; how far its number is known, and what more there is to it."""

    asks: str
    known: str = ""
    more: str = ""


_SAME = "the same sources"


def _rules(report: LoadsReport) -> dict[str, _Rule]:
    """Return each rule that counts here by its word in cells or columns, in the order in which it is listed."""
    rules = report.rules
    by_name = {
        "stacking": _Rule(
            f"it stands on a floor that falls {share(rules.stacking_of(report.rated))} ahead, mast upright, at that "
            "height",
            "national forklift rules, seen in examination texts; ISO 22915-2 from memory",
            "3.5 % from 5 tonne rated, 4 % below.",
        ),
        "travelling": _Rule(
            f"it stands on a floor that falls {share(rules.travelling)} ahead, forks at 300 mm, mast tilted back", _SAME
        ),
        "lateral": _Rule(
            f"on a floor that falls {share(rules.lateral)} to a side, mast tilted back, its frame does not start to "
            "swing",
            _SAME,
        ),
        "steer axle": _Rule(
            f"{share(rules.steer_share)} of the weight stays on the steer axle",
            "common practice, no source; some want 20 %",
        ),
        "hung, of tipping": _Rule(
            f"{share(rules.hung_share)} of the hung load that tips it on the level",
            "an Australian rule for cranes that carry their load, as a regulator quotes it",
        ),
        "hung, own stop": _Rule("its own service stop, with the swing of the hung load, does not tip it"),
        "drive tyres": _Rule("what they are rated for in the machine file, level, at rest"),
        "forks": _Rule(
            "what is stamped on them, both sharing the load evenly; farther out by equal bending moment, nearer no "
            "more",
            "that forks are stamped so: ISO 2330, from memory",
        ),
        "carriage": _Rule("gross load, and half way out the jib's own weight, about the fork face, at rest"),
        "mast": _Rule("the same about the front of its channels, upright, at rest"),
    }
    there = {SHORT[name]: rule for name, rule in by_name.items() if name not in STRUCTURE or name in report.greatest}
    there[LEAST["drive axle"]] = _Rule(
        f"{share(rules.drive_share)} of the weight stays on the drive axle, to brake by", "our choice"
    )
    there[LEAST["slope behind"]] = _Rule(
        f"it does not tip back on a floor that falls {share(rules.stacking_of(report.rated))} behind it",
        "our choice; no standard has such a test",
    )
    return there


def meaning(report: LoadsReport, name: str) -> str:
    """Say in a sentence what a rule of greatest loads asks; "" of one that needs no words."""
    rule = _rules(report).get(SHORT.get(name, name))
    return "" if rule is None else _line(SHORT[name], rule)


def _line(word: str, rule: _Rule) -> str:
    word = word.removeprefix("the ")
    return f"{word[:1].upper()}{word[1:]}: {rule.asks}."


def with_meanings(report: LoadsReport, sections: Iterable[Section], known: Iterable[str] = ()) -> Iterator[Section]:
    """Yield sections, what a rule asks below the first table that names it; ``known``: rules explained before them."""
    left = {word: rule for word, rule in _rules(report).items() if word not in {SHORT[name] for name in known}}
    for section in sections:
        if not isinstance(section, Table):
            yield section
            continue
        cells = [cell for row in section.rows for cell in row[1:]]
        lines = [_line(word, left.pop(word)) for word in tuple(left) if any(word in cell for cell in cells)]
        yield replace(section, note=" ".join((section.note, *lines)).strip())


def rules_list(report: LoadsReport) -> tuple[str, ...]:
    """List every rule with how far its number is known."""
    rules = report.rules
    lines = [
        " ".join((_line(word, rule).removesuffix("."), f"({rule.known})." if rule.known else ".", rule.more))
        for word, rule in _rules(report).items()
    ]
    unladen = (
        f"Side slope without a load: {share(rules.unladen)} and {share(rules.per_speed)} for each km/h of top speed "
        f"({_SAME}). ISO 22915-2 has 1.4 % for each km/h as we remember it: a parameter, per_speed."
    )
    return (*(line.replace(" .", ".").strip() for line in lines), unladen)


def notes(report: LoadsReport) -> tuple[str, ...]:
    """Say how the loads are read, and what is not in them."""
    plate = (
        "The plate governs, and nothing above it is shown. A set-up whose extension and slabs are not on it is "
        f"{NOT_RATED}, and no load is given for it."
        if report.has_plate
        else "Without the maker's capacity plate no figure here is a rating. They show what limits such a truck, and "
        "are for teaching only."
    )
    return (
        f"{plate}",
        "This explains what limits each set-up. It is no load chart: do not hang it in a cab.",
        "Tyres, mast and chain give under the load, as in a pose at rest; the tests take the sag out by tilting back. "
        "Here it stays in, which is stricter.",
        "The ordinary tests know no load that swings. The rules for a hung load are ours and a crane rule; they are no "
        "rating of a jib.",
        _strength(report),
    )


def _strength(report: LoadsReport) -> str:
    """Say which strengths are in the loads: those that the machine file states, and no other."""
    stated = [STRUCTURE[name] for name in STRUCTURE if name in report.greatest]
    if not stated:
        return (
            "Strength of forks, chains, jib and mast is not in these loads. Read the stamp on a fork and ask the maker "
            "for the largest moment of carriage and mast: forks.rated_load, carriage.largest_moment and "
            "mast.largest_moment in the machine file take them."
        )
    return f"Of strength only this is in these loads: {', '.join(stated)}. Chains, jib and frame are not."
