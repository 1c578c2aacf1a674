"""Read a sweep: its file, the scenario it is about, and what each of its settings can be."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from math import isfinite, prod
from pathlib import Path
from typing import Any

from tipline import units
from tipline.errors import FROM_SET, InputError, InputErrors, argument
from tipline.model.document import Document, Overrides, checked, dotted, read_text
from tipline.model.origins import quantity_of
from tipline.model.plausible import path_of, unusual
from tipline.model.problems import Finding, build, refuse
from tipline.model.quantities import Quantity, Spec
from tipline.model.shipped import Kind, find
from tipline.scenario.case import Case
from tipline.scenario.labels import label_of
from tipline.scenario.reader import Text, read, text_at
from tipline.scenario.spec import Scenario
from tipline.scenario.sweep import MOST_RUNS, SoughtThreshold, Sweep, Variable
from tipline.scenario.sweep_plan import Shape, SweepPlan, SweptInput
from tipline.scenario.sweep_plausible import ask_ends, ask_width

__all__ = ["Settings", "check_variable", "plain", "read_sweep", "sources"]

_NEEDS: dict[str, tuple[str, ...]] = {
    "values": ("values",),
    "uniform": ("least", "most"),
    "normal": ("mean", "deviation"),
    "truncated-normal": ("mean", "deviation", "least", "most"),
    "triangular": ("least", "likeliest", "most"),
    "lognormal": ("mean", "deviation"),
}
_FIGURES = ("values", "least", "most", "mean", "deviation", "likeliest")
_DRAWN = ("sobol", "latin-hypercube", "monte-carlo", "sensitivity")
_INSIDE = 0.381966
"""Where a range is tried between its ends (our choice: the golden section, on no step that divides it evenly)."""


def read_sweep(name: str | Path, overrides: Overrides | None = None, *, texts: tuple[Text, ...] = ()) -> SweepPlan:
    """Return the sweep of a file or a shipped name, with single values of that file changed by dotted key.

    Texts, the scenario's first, stand for the files that would be looked for.

    Raises InputError, or InputErrors with all problems found.
    """
    path, shown = find("sweep", str(name))
    document = Document.from_text(read_text(path, shown), shown)
    for key, value in checked(overrides).items():
        document.change(key, value)
    sweep = build(Sweep, document)
    refuse(_check(sweep), document)
    fixed = {key: plain(value) for key, value in sweep.set.items()}
    source, texts = (
        (texts[0].given, texts) if texts else sources(sweep.scenario, ("scenario",), document, path.parent, fixed)
    )
    case = _base(source, fixed, document, texts)
    reader = Settings(case, source, fixed, document, sweep.meant, texts)
    inputs = tuple(reader.of(("variable", index), variable) for index, variable in enumerate(sweep.variable))
    sought = None if sweep.threshold is None else reader.of(("threshold",), sweep.threshold)
    within = reader.within(sweep.threshold, sought)
    if reader.problems:
        raise InputErrors(reader.problems)
    swept = tuple(swept_input for swept_input in inputs if swept_input is not None)
    refuse(_check_all(sweep, swept), document)
    files = {document.shown: document.text, **case.files}
    own = unusual((), document, [path for path in (path_of(sweep, key) for key in sweep.meant) if path is not None])
    # what is set in the scenario is asked by the scenario that is read with it
    own = tuple(question for question in own if not str(question.key).startswith("set."))
    questions = (*own, *(question for question in case.unusual if question.key not in sweep.meant), *reader.unusual)
    return SweepPlan(
        sweep,
        case,
        fixed,
        swept,
        sought,
        within,
        _rows(sweep, swept),
        texts,
        files,
        questions,
        str(name),
        checked(overrides),
    )


def _rows(sweep: Sweep, inputs: tuple[SweptInput, ...]) -> int:
    if sweep.method in ("grid", "threshold"):
        return prod(len(swept_input.values) for swept_input in inputs)
    if sweep.method == "sensitivity":
        block = len(inputs) + 2
        return block * (1 << ((sweep.runs or 0) // block).bit_length()) // 2
    return sweep.runs or 0


def plain(value: object) -> str:
    """Return a value as ``--set`` takes it."""
    return str(value).lower() if isinstance(value, bool) else str(value)


def _check(sweep: Sweep) -> Iterator[Finding]:
    """Yield what the method needs and does not have, or has and does not take."""
    if not sweep.variable and sweep.method != "threshold":
        yield Finding(("variable",), "needs at least one", "Add a [[variable]] with a key and its values or range")
    drawn = sweep.method in _DRAWN
    if drawn and sweep.runs is None:
        yield Finding(("runs",), f"is needed for method {sweep.method}", "Add how many runs are to be made")
    if not drawn and sweep.runs is not None:
        reason = f"is not for method {sweep.method}, which makes one row for each combination of values"
        yield Finding(("runs",), reason, "Remove it")
    if sweep.method == "threshold" and sweep.threshold is None:
        yield Finding(("threshold",), "is needed but not there", "Add [threshold] with key, least, most and outcome")
    if sweep.method != "threshold" and sweep.threshold is not None:
        yield Finding(("threshold",), f"is not for method {sweep.method}", 'Remove it or write method = "threshold"')
    for index, variable in enumerate(sweep.variable):
        yield from check_variable(variable, ("variable", index), drawn)
    seen: dict[str, int] = {}
    keys = [(("variable", index, "key"), variable.key) for index, variable in enumerate(sweep.variable)]
    keys += [(("threshold", "key"), sweep.threshold.key)] if sweep.threshold is not None else []  # type: ignore[list-item]
    for place, names in keys:
        for key in names:
            if key in sweep.set or key in seen:
                yield Finding(place, f"{key} is set elsewhere in this file too", f"Remove {key} here or there")
            seen[key] = 1


def check_variable(variable: Variable, place: tuple[str | int, ...], drawn: bool) -> Iterator[Finding]:
    """Yield what a setting that varies does not say, or says and does not take; drawn: not of a grid."""
    shape = _shape(variable)
    given = {name for name in _FIGURES if getattr(variable, name) is not None}
    if variable.values is not None and variable.distribution is not None:
        yield Finding((*place, "distribution"), "cannot stand beside values", "Remove one of them")
        return
    need = set(_NEEDS[shape])
    if not given and variable.distribution is None:
        yield Finding(place, "says neither values nor a range", "Add values, or least and most")
        return
    for name in sorted(need - given):
        yield Finding(place, f"{name} is needed for {shape}", f"Add {name} = ...")
    for name in sorted(given - need):
        yield Finding((*place, name), f"is not for {shape}, which takes {', '.join(_NEEDS[shape])}", "Remove it")
    if drawn and variable.count is not None:
        yield Finding((*place, "count"), "is for a grid only", "Remove it")
    if not drawn and shape != "values":
        if shape != "uniform" or variable.distribution is not None:
            reason = "is not for a grid or a threshold, where each combination is run once"
            yield Finding((*place, "distribution"), reason, "Give values, or least, most and count")
        elif variable.count is None:
            yield Finding(place, "needs a count of values from least to most", "Add count, or give values")


def _shape(setting: Variable | SoughtThreshold) -> Shape:
    if isinstance(setting, SoughtThreshold):
        return "uniform"
    if setting.values is not None:
        return "values"
    return setting.distribution or "uniform"


def _check_all(sweep: Sweep, inputs: tuple[SweptInput, ...]) -> Iterator[Finding]:
    rows = _rows(sweep, inputs)
    if rows > MOST_RUNS:
        yield Finding(("method",), f"{rows} combinations, at most {MOST_RUNS} can be run", "Give fewer values")
    least = 4 * (len(inputs) + 2)
    if sweep.method == "sensitivity" and (sweep.runs or 0) < least:
        yield Finding(("runs",), f"sensitivity to {len(inputs)} settings needs {least} runs or more", "Raise it")
    columns = [swept_input.column for swept_input in inputs]
    for index, column in enumerate(columns):
        if column in columns[:index]:
            yield Finding(("variable", index, "name"), f'"{column}" is the name of another one', "Give another name")


def sources(
    scenario: str, place: tuple[str | int, ...], document: Document, beside: Path, fixed: Mapping[str, str]
) -> tuple[str, tuple[Text, ...]]:
    """Return how to name a scenario, given at a place, to the reader, and the texts of the files a run is read from."""
    try:
        path, shown = find("scenario", scenario, None if place in document.changed else beside)
    except InputError as error:
        raise document.problem(place, error.reason, error.remedy) from error
    name = str(path) if shown == str(path) else scenario
    first = text_at("scenario", name, path, shown)
    texts = [first]
    kinds: tuple[Kind, ...] = ("machine", "floor")
    for kind in kinds:
        given = fixed.get(kind, Document.from_text(first.text, shown).data.get(kind))
        if not isinstance(given, str):
            continue
        try:
            texts.append(text_at(kind, given, *find(kind, given, None if kind in fixed else path.parent)))
        except InputError:
            continue  # the scenario's reader tells it with its place
    return name, tuple(texts)


def _base(source: str, fixed: Mapping[str, str], document: Document, texts: tuple[Text, ...]) -> Case:
    try:
        return read(source, fixed, table=False, texts=texts)
    except InputError as error:
        problems = error.problems if isinstance(error, InputErrors) else (error,)
        raise InputErrors(
            document.problem(("set", str(problem.key)), problem.reason, problem.remedy)
            if problem.file == FROM_SET and problem.key in fixed
            else problem
            for problem in problems
        ) from error


class Settings:
    """Turns what a file says of each setting into SI, trying its ends on the scenario; collects the problems."""

    def __init__(
        self,
        case: Case,
        source: str,
        fixed: Mapping[str, str],
        document: Document,
        meant: tuple[str, ...],
        texts: tuple[Text, ...] = (),
    ) -> None:
        self._case, self._source, self._fixed, self._document = case, source, fixed, document
        self._meant, self._texts = meant, texts
        self.problems: list[InputError] = []
        self.unusual: list[InputError] = []

    def of(self, place: tuple[str | int, ...], setting: Variable | SoughtThreshold) -> SweptInput | None:
        """Return a setting, None where there is a problem."""
        before = len(self.problems)
        swept_input = self._collect(lambda: self._made(place, setting))
        if swept_input is not None and len(self.problems) == before:
            self._try_ends(place, swept_input)
        if swept_input is not None and len(self.problems) == before and swept_input.shape != "values":
            self._try_inside(place, swept_input)
        if swept_input is not None and len(self.problems) == before:
            self.unusual += ask_ends(self._case, self._with, swept_input, self._meant, self._document, place)
            if dotted((*place, "deviation")) not in self._meant:
                self.unusual += ask_width(swept_input, self._document, place)
        return swept_input if len(self.problems) == before else None

    def within(self, threshold: SoughtThreshold | None, sought: SweptInput | None) -> float:
        """Return how narrow a threshold is to be."""
        if threshold is None or sought is None:
            return 0.0
        span = sought.figures["most"] - sought.figures["least"]
        if threshold.within is None:
            return span / 500.0
        place = ("threshold", "within")
        value = self._collect(lambda: self._number(place, threshold.within, sought.dimension, sought.relative))
        if value is not None and not span / 1e6 <= value < span:
            self._say(
                place,
                "must be smaller than the range and at least a millionth of it",
                "Write a part of it, such as a hundredth",
            )
        return value or 0.0

    def _made(self, place: tuple[str | int, ...], setting: Variable | SoughtThreshold) -> SweptInput:
        leaves = [self._find(key, place) for key in setting.key]
        quantities = [quantity for quantity, _ in leaves]
        dimensions = {quantity.dimension if quantity is not None else "" for quantity in quantities}
        if len(dimensions) > 1:
            raise self._document.problem((*place, "key"), "are settings of different kinds", "Give one variable each")
        dimension = dimensions.pop()
        base = self._bases(place, setting, leaves) if setting.relative else ()
        figures = self._figures(place, setting, dimension)
        values = self._values(place, setting, dimension, figures)
        shape = "values" if values else _shape(setting)
        if shape != "values" and not dimension:
            reason = "is a whole number, a word or a flag: it takes no range"
            raise self._document.problem((*place, "key"), reason, "Give values")
        label = setting.name or label_of(setting.key[0], self._case.scenario)
        column = setting.key[0] if len(setting.key) == 1 else label.replace(" ", "_")
        origin = setting.origin if isinstance(setting, Variable) else "sought"
        return SweptInput(
            column,
            label,
            setting.key,
            dimension,
            shape,
            values,
            {} if values else figures,
            setting.relative,
            base,
            origin,
        )

    def _find(self, key: str, place: tuple[str | int, ...]) -> tuple[Quantity | None, Any]:
        """Return the quantity that a key holds, None for a word or a whole number, and what the files give."""
        try:
            return _walk(self._case, key)
        except LookupError:
            if table := _not_given(self._case.scenario, key):
                reason, remedy = f"the files give no {table} for it to lie in", f"Give {table} whole under [set] first"
                raise self._document.problem((*place, "key"), reason, remedy) from None
            probe = self._problem_of(key, "0")
            reason = probe.reason if probe is not None else "no such setting"
            remedy = probe.remedy if probe is not None else f"Write a key as {argument('overrides')} takes it"
            raise self._document.problem((*place, "key"), f"{key}: {reason}", remedy) from None

    def _bases(
        self,
        place: tuple[str | int, ...],
        setting: Variable | SoughtThreshold,
        leaves: list[tuple[Quantity | None, Any]],
    ) -> tuple[float, ...]:
        for key, (quantity, value) in zip(setting.key, leaves, strict=True):
            if quantity is None or not isinstance(value, float):
                reason = f"{key} has no single value in the files that could be multiplied"
                raise self._document.problem((*place, "relative"), reason, "Give the values themselves")
        return tuple(float(value) for _, value in leaves)

    def _figures(
        self, place: tuple[str | int, ...], setting: Variable | SoughtThreshold, dimension: str
    ) -> dict[str, float]:
        figures = {}
        for name in _FIGURES[1:]:
            given = getattr(setting, name, None)
            if given is None:
                continue
            if not dimension:
                continue
            figures[name] = self._number((*place, name), given, dimension, setting.relative)
        for finding in _check_figures(figures, place, _shape(setting)):
            raise self._document.problem(finding.path, finding.reason, finding.remedy)
        return figures

    def _values(
        self,
        place: tuple[str | int, ...],
        setting: Variable | SoughtThreshold,
        dimension: str,
        figures: dict[str, float],
    ) -> tuple[float | int | str | bool, ...]:
        if isinstance(setting, SoughtThreshold):
            return ()
        if setting.values is not None:
            if not dimension:
                return setting.values
            places = ((*place, "values", index) for index in range(len(setting.values)))
            return tuple(
                self._number(where, value, dimension, setting.relative)
                for where, value in zip(places, setting.values, strict=True)
            )
        if setting.count is None or "least" not in figures:
            return ()
        low, high, last = figures["least"], figures["most"], setting.count - 1
        return tuple(low + (high - low) * index / last if index < last else high for index in range(setting.count))

    def _number(self, place: tuple[str | int, ...], given: Any, dimension: str, relative: bool) -> float:
        """Return a figure in SI."""
        kind = "ratio" if relative else dimension
        if kind == "ratio" and isinstance(given, int | float) and not isinstance(given, bool):
            if isfinite(given):
                return float(given)
            raise self._document.problem(place, "not a finite number", 'Write it like 1.2 or "120 %"')
        if isinstance(given, int | float) and self._document.in_si(place) and isfinite(given):
            return float(given)
        if not isinstance(given, str):
            needed = f"write one of {', '.join(units.units_of(kind))}"
            raise self._document.problem(
                place, f"a number without a unit; {needed}", f"Write it like {Quantity(kind).example()}"
            )
        try:
            return units.parse(given, kind)
        except ValueError as error:
            raise self._document.problem(place, str(error), f"Write it like {Quantity(kind).example()}") from error

    def _try_ends(self, place: tuple[str | int, ...], swept_input: SweptInput) -> None:
        """Read the scenario with each end, or each value, of a setting."""
        for number, value in enumerate(swept_input.ends()):
            index = swept_input.values.index(value) if swept_input.shape == "values" else number
            for key, text in swept_input.texts(value).items():
                problem = self._problem_of(key, text)
                if problem is None:
                    continue
                where: tuple[str | int, ...] = (*place, "values", index)
                if swept_input.shape != "values":
                    name = {"normal": "mean", "lognormal": "mean"}.get(swept_input.shape) or ("least", "most")[index]
                    where = (*place, name)
                elif self._document.find(where)[1] is False:
                    where = (*place, "least")
                reached = f"{key} = {text} does not read: {problem.reason}"
                absent = problem.reason == "must be a list" and key.rpartition(".")[2].isdigit()
                remedy = "Give the whole list in the scenario or under [set] first" if absent else problem.remedy
                self._say(where, reached, remedy or "Write a value that the setting takes")
                return

    def _try_inside(self, place: tuple[str | int, ...], swept_input: SweptInput) -> None:
        """Read the scenario with a value between the ends of a range: what goes by steps reads at its ends alone."""
        low, high = (float(end) for end in swept_input.ends())
        for key, text in swept_input.texts(low + _INSIDE * (high - low)).items():
            problem = self._problem_of(key, text)
            if problem is not None:
                reason = f"{key} = {text}, within its range, does not read: {problem.reason}"
                self._say((*place, "key"), reason, "Give values in place of a range")
                return

    def _problem_of(self, key: str, text: str) -> InputError | None:
        try:
            read(self._source, {**self._fixed, key: text}, table=False, texts=self._texts)
        except InputErrors as error:
            return next((problem for problem in error.problems if problem.key == key), error.problems[0])
        except InputError as error:
            return error
        return None

    def _with(self, texts: Mapping[str, str]) -> Case:
        return read(self._source, {**self._fixed, **texts}, table=False, texts=self._texts)

    def _collect(self, action: Callable[[], Any]) -> Any:
        try:
            return action()
        except InputError as error:
            self.problems.append(error)
            return None

    def _say(self, place: tuple[str | int, ...], reason: str, remedy: str) -> None:
        self.problems.append(self._document.problem(place, reason, remedy))


def _check_figures(figures: Mapping[str, float], place: tuple[str | int, ...], shape: str) -> Iterator[Finding]:
    least, most = figures.get("least"), figures.get("most")
    if least is not None and most is not None and least >= most:
        yield Finding((*place, "most"), "must be greater than least", "Correct one of them")
    if figures.get("deviation", 1.0) <= 0.0:
        yield Finding((*place, "deviation"), "must be greater than 0", "Give the standard deviation")
    if shape == "lognormal" and figures.get("mean", 1.0) <= 0.0:
        yield Finding(
            (*place, "mean"), "must be greater than 0 for lognormal", "Write a mean above 0, or another distribution"
        )
    middle, name = (figures.get("likeliest"), "likeliest") if shape == "triangular" else (figures.get("mean"), "mean")
    if shape not in ("triangular", "truncated-normal") or least is None or most is None or middle is None:
        return
    if not least <= middle <= most:
        yield Finding((*place, name), "must lie between least and most", "Correct one of them")


def _walk(case: Case, key: str) -> tuple[Quantity | None, Any]:
    """Return the quantity and the value at a dotted key; raises LookupError where there is none."""
    parts = key.split(".")
    start = {"machine": case.machine, "floor": case.floor}.get(parts[0]) if len(parts) > 1 else None
    node: Any = start if start is not None else case.scenario
    quantity: Quantity | None = None
    for part in parts[1:] if start is not None else parts:
        if isinstance(node, Spec):
            field = type(node).model_fields[part]
            quantity, node = quantity_of(field), getattr(node, part)
        elif isinstance(node, tuple):
            node = _entry(node, part)
        else:
            raise KeyError(part)
    if isinstance(node, Spec) or (isinstance(node, tuple) and (quantity is not None or any(map(_is_spec, node)))):
        raise KeyError(key)
    return quantity, node


def _not_given(scenario: Scenario, key: str) -> str:
    """Return the table that would hold a key of a scenario and is not there; "" where it is, or there is none such."""
    node: Any = scenario
    parts = key.split(".")
    for count, part in enumerate(parts[:-1], 1):
        node = getattr(node, part, ()) if isinstance(node, Spec) else ()
        if node is None:
            return ".".join(parts[:count])
    return ""


def _is_spec(value: object) -> bool:
    return isinstance(value, Spec)


def _entry(entries: tuple[Any, ...], part: str) -> Any:
    for entry in entries:
        if getattr(entry, "name", None) == part:
            return entry
    return entries[int(part)] if part.isascii() and part.isdigit() else entries[len(entries)]
