"""Turn what the specs refuse into located errors in plain words."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, TypeVar, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from tipline import units
from tipline.errors import InputError, InputErrors
from tipline.model.document import Document
from tipline.model.examples import example_of
from tipline.model.origins import quantity_of
from tipline.model.positions import Path
from tipline.model.quantities import FROM_FILE, Spec
from tipline.model.words import Word

__all__ = ["Finding", "build", "kind_of", "refuse", "specs_in"]

SpecT = TypeVar("SpecT", bound=Spec)

# Filled in by the reader; no file may hold them.
_OURS = {"origins", "file", "chosen"}
_WORDS = {
    "string_too_short": "must not be empty",
    "string_type": "must be text in quotes",
    "int_type": "must be a whole number",
    "bool_type": "must be true or false",
    "model_type": "must be a table",
    "model_attributes_type": "must be a table",
    "dict_type": "must be a table",
    "tuple_type": "must be a list",
    "list_type": "must be a list",
}


@dataclass(frozen=True)
class Finding:
    """What a check between values found: the value at fault, what is wrong and allowed, what to do."""

    path: Path
    reason: str
    remedy: str


def build(spec: type[SpecT], document: Document) -> SpecT:
    """Return the spec of a document; raises InputErrors with every value it refuses."""
    problems = [
        document.problem((key,), _unknown(key, spec), "Remove it", absent=True) for key in document.data if key in _OURS
    ]
    for path in document.numbers:
        _spell(path, spec, document)
    try:
        built = spec.model_validate(document.data, context=FROM_FILE)
    except ValidationError as error:
        refusals = [_problem(details, spec, document) for details in _causes(error)]
        problems += {str(problem): problem for problem in refusals}.values()
    if problems:
        raise InputErrors(problems)
    return built


def _spell(path: Path, spec: type[Spec], document: Document) -> None:
    """Write numbers that were given in SI as the text they stand for, where a quantity belongs."""
    last = max((index for index, step in enumerate(path) if isinstance(step, str)), default=0)
    try:
        field = _spec_at(spec, path[:last], document).model_fields[str(path[last])]
    except (LookupError, TypeError):
        return  # told when it is read
    quantity = quantity_of(field)
    if quantity is not None:
        document.rewrite(path, lambda number: units.exact(float(number), quantity.dimension))


def refuse(findings: Iterator[Finding], document: Document) -> None:
    """Raise InputErrors with all findings, if there are any."""
    problems = [document.problem(finding.path, finding.reason, finding.remedy) for finding in findings]
    if problems:
        raise InputErrors(problems)


def _causes(error: ValidationError) -> list[ErrorDetails]:
    """Return the errors, without those of a list that is short only because an entry of it was refused."""
    errors = error.errors(include_url=False)
    above = {details["loc"][:depth] for details in errors for depth in range(len(details["loc"]))}
    return [details for details in errors if details["type"] != "too_short" or details["loc"] not in above]


def _problem(details: ErrorDetails, spec: type[Spec], document: Document) -> InputError:
    path = _path_in_file(details["loc"], document)
    context: dict[str, Any] = details.get("ctx", {})
    kind = details["type"]
    if kind == "union_tag_not_found":
        kinds = ", ".join(_kinds(spec, path, document))
        return document.problem((*path, "kind"), "is needed but not there", f"Add one of {kinds}", absent=True)
    if kind == "extra_forbidden":
        owner = _spec_at(spec, path[:-1], document)
        remedy = f"Keys here: {', '.join(_keys(owner))}"
        return document.problem(path, _unknown(str(path[-1]), owner), remedy, absent=True)
    if kind == "union_tag_invalid":
        return document.problem((*path, "kind"), *_choice(context["tag"], _quoted(context["expected_tags"])))
    if kind == "missing":
        return document.problem(path, "is needed but not there", _how_to_add(path, spec, document), absent=True)
    if kind == "quantity":
        words = context["reason"], context["remedy"]
    elif kind == "literal_error":
        words = _choice(str(details["input"]), _quoted(context["expected"]))
    else:
        words = _other(kind, details, context), _how_to_write(kind, context, path, spec, document)
    return document.problem(path, *words)


def _how_to_write(kind: str, context: dict[str, Any], path: Path, spec: type[Spec], document: Document) -> str:
    """Say what to write in the place of a value that is refused for its form."""
    if kind in {"greater_than_equal", "less_than_equal"}:
        bound = context.get("ge", context.get("le"))
        return f"Write {bound} or {'more' if 'ge' in context else 'less'}, a whole number without quotes"
    if kind == "string_too_long":
        return f"Shorten it to {context['max_length']} letters"
    if kind == "too_long":
        return f"Leave {context.get('max_length')} in the list"
    shown = _shown_example(path, spec, document)
    return f"Write it like {shown}" if shown else "Write it as the shipped files do; tipline schema describes the keys"


def _shown_example(path: Path, spec: type[Spec], document: Document) -> str | None:
    """Return a line as it could stand in the file, for the field that a path leads to or into."""
    last = max((index for index, step in enumerate(path) if isinstance(step, str)), default=None)
    if last is None:
        return None
    try:
        field = _spec_at(spec, path[:last], document).model_fields[str(path[last])]
    except (LookupError, TypeError):
        return None
    example = example_of(field, len(path) - 1 - last)
    return example if example is None or last < len(path) - 1 else f"{path[last]} = {example}"


def _other(kind: str, details: ErrorDetails, context: dict[str, Any]) -> str:
    if kind in {"too_short", "too_long"}:
        bound = context.get("min_length") if kind == "too_short" else context.get("max_length")
        side = "at least" if kind == "too_short" else "at most"
        return f"needs {side} {bound} in the list, has {context.get('actual_length')}"
    if kind in {"greater_than_equal", "less_than_equal"}:
        return f"must be {context.get('ge', context.get('le'))} or {'more' if 'ge' in context else 'less'}"
    if kind == "string_too_long":
        return f"is longer than {context['max_length']} letters"
    return _WORDS.get(kind) or details["msg"]


def _path_in_file(place: tuple[Any, ...], document: Document) -> Path:
    """Drop from a place the kinds that stand in it as steps, which no file has."""
    path: Path = ()
    node: Any = document.data
    for index, step in enumerate(place):
        # a key of the same name as its kind, such as cover, ends the place
        if isinstance(node, dict) and node.get("kind") == step and index < len(place) - 1:
            continue
        if isinstance(node, str | int | float):
            return path  # one value stands for several
        path = (*path, step)
        try:
            node = node[step]
        except (KeyError, IndexError, TypeError):
            node = None
    return path


def _spec_at(spec: type[BaseModel], path: Path, document: Document) -> type[BaseModel]:
    """Return the spec that reads the table at a path."""
    node: Any = document.data
    for step in path:
        node = node[step]
        if isinstance(step, int):
            continue
        kind = node.get("kind") if isinstance(node, dict) else None
        options = list(specs_in(spec.model_fields[step].annotation))
        if isinstance(node, list):
            index = path[path.index(step) + 1]
            kind = node[index].get("kind") if isinstance(index, int) else None
        spec = next((option for option in options if kind_of(option) == kind), options[0])
    return spec


def specs_in(annotation: Any) -> Iterator[type[BaseModel]]:
    """Yield the specs that an annotation names."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    elif get_origin(annotation) is not None:
        for part in get_args(annotation):
            yield from specs_in(part)


def kind_of(spec: type[BaseModel]) -> str | None:
    """Return the one word that a spec has for its kind; None where it has none, or several."""
    field = spec.model_fields.get("kind")
    names = get_args(field.annotation) if field is not None else ()
    return names[0] if len(names) == 1 else None


def _kinds(spec: type[BaseModel], path: Path, document: Document) -> list[str]:
    lists = [step for step in path if isinstance(step, str)]
    owner = _spec_at(spec, tuple(lists[:-1]), document)
    return [kind for option in specs_in(owner.model_fields[lists[-1]].annotation) if (kind := kind_of(option))]


def _how_to_add(path: Path, spec: type[Spec], document: Document) -> str:
    shown = _shown_example(path, spec, document)
    if not path or isinstance(path[-1], int) or shown is None:
        return f"Add it, written like {shown}" if shown else "Add it"
    field = _spec_at(spec, path[:-1], document).model_fields[path[-1]]
    word = next((mark for mark in field.metadata if isinstance(mark, Word)), None)
    return f"Add it, written like {shown}" if word is None else f"Add one of: {word.listed()}"


def _keys(spec: type[BaseModel]) -> list[str]:
    return [name for name in spec.model_fields if name not in _OURS]


def _unknown(key: str, spec: type[BaseModel]) -> str:
    near = difflib.get_close_matches(key, _keys(spec), n=1, cutoff=0.5)
    return f'unknown key, did you mean "{near[0]}"?' if near else "unknown key"


def _choice(value: str, allowed: list[str]) -> tuple[str, str]:
    near = difflib.get_close_matches(value, allowed, n=1, cutoff=0.5)
    hint = f', did you mean "{near[0]}"?' if near else ""
    return f"not one of the choices{hint}", f"Use one of {', '.join(allowed)}"


def _quoted(text: str) -> list[str]:
    """Return the names in text such as ``'a', 'b' or 'c'``."""
    return text.split("'")[1::2]
