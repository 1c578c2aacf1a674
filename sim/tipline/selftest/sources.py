"""Which definitions of the package a command can come to, read from the sources.

A definition is a function, a class or a constant at the top of a module. It uses each other one that it names, by what
its module or itself imports. A method counts once its class is used and something that is used asks for its name, of
whatever object: what is found is never too little, and may be too much.
"""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

__all__ = ["Definition", "Sources"]

Definition = tuple[str, str]
"""Module and name; of a method Class.method."""
_Function = ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda
_PLAIN_BASES = {"BaseModel", "Enum", "Exception", "Generic", "NamedTuple", "Protocol", "StrEnum", "ValueError"}
"""Classes of others that call no method of ours by themselves."""
_PLAIN_MARKS = {"cached_property", "classmethod", "property", "staticmethod"}
"""Decorators that leave it to the caller whether a method is called."""


@dataclass
class _Module:
    name: str
    package: bool
    imports: dict[str, str] = field(default_factory=dict)
    definitions: dict[str, list[ast.stmt]] = field(default_factory=lambda: defaultdict(list))
    loose: list[ast.stmt] = field(default_factory=list)


class Sources:
    """The modules of a package: what each defines, imports, and does as it is imported."""

    def __init__(self, root: Path) -> None:
        self._modules: dict[str, _Module] = {}
        self._uses: dict[ast.AST, _Uses] = {}
        for path in sorted(root.rglob("*.py")):
            parts = path.relative_to(root.parent).with_suffix("").parts
            package = parts[-1] == "__init__"
            module = _Module(".".join(parts[:-1] if package else parts), package)
            self._modules[module.name] = module
            for statement in _at_the_top(ast.parse(path.read_text(encoding="utf-8")).body):
                _sort_in(module, statement)

    def public(self, package: str) -> Iterator[Definition]:
        """Yield the functions and classes of a package that are meant for others."""
        for module in self._modules.values():
            if module.name.startswith(f"{package}."):
                for name, held in module.definitions.items():
                    if isinstance(held[0], ast.FunctionDef | ast.ClassDef) and not name.startswith("_"):
                        yield module.name, name

    def node(self, definition: Definition) -> ast.stmt:
        """Return the statement that makes a definition."""
        return self._modules[definition[0]].definitions[definition[1]][0]

    def resolve(self, dotted: str) -> str | Definition | None:
        """Return what a dotted name stands for: a module, a definition, or nothing of ours."""
        seen: set[str] = set()
        while dotted not in seen:
            seen.add(dotted)
            head, _, tail = dotted.rpartition(".")
            host = self._modules.get(head)
            if host and tail in host.definitions:
                return head, tail
            if host and host.imports.get(tail, dotted) != dotted:
                dotted = host.imports[tail]
            elif dotted in self._modules:
                return dotted
        return None

    def used_by(self, module: str, node: ast.AST) -> _Uses:
        """Return what a piece of a module names."""
        if node not in self._uses:
            self._uses[node] = _Uses(self, self._modules[module])
            self._uses[node].visit(node)
        return self._uses[node]

    def reached(self, roots: Iterable[Definition]) -> set[Definition]:
        """Return every definition, and method as Class.method, that some definitions come to."""
        walk = _Walk(self)
        for root in roots:
            if root[1] not in self._modules[root[0]].definitions:
                msg = f"{root[0]} defines no {root[1]}"
                raise KeyError(msg)
            walk.ahead.append(root)
        while walk.ahead:
            walk.take(walk.ahead.pop())
        return walk.reached

    def pieces(self, definition: Definition) -> tuple[list[ast.stmt], list[ast.stmt]]:
        """Return the statements that make a definition, and those that its module does as it is imported."""
        module = self._modules[definition[0]]
        return module.definitions[definition[1]], module.loose


class _Walk:
    """The way from some definitions to all that they use."""

    def __init__(self, sources: Sources) -> None:
        self.sources = sources
        self.ahead: list[Definition] = []
        self.reached: set[Definition] = set()
        self._asked: set[str] = set()
        self._waiting: dict[str, list[tuple[Definition, ast.FunctionDef]]] = defaultdict(list)
        self._imported: set[str] = set()

    def take(self, definition: Definition) -> None:
        if definition in self.reached:
            return
        self.reached.add(definition)
        module = definition[0]
        statements, loose = self.sources.pieces(definition)
        if module not in self._imported:
            self._imported.add(module)
            for statement in loose:
                self._use(module, statement)
        for statement in statements:
            if isinstance(statement, ast.ClassDef):
                self._take_class(definition, statement)
            else:
                self._use(module, statement)

    def _take_class(self, of: Definition, statement: ast.ClassDef) -> None:
        for named in (*statement.bases, *statement.decorator_list, *(word.value for word in statement.keywords)):
            self._use(of[0], named)
        called_by_others = any(self._of_others(of[0], base) for base in statement.bases)
        for part in statement.body:
            if not isinstance(part, ast.FunctionDef):
                self._use(of[0], part)
            elif called_by_others or part.name in self._asked or part.name.startswith("__") or _marked(part):
                self._take_method(of, part)
            else:
                self._waiting[part.name].append((of, part))

    def _take_method(self, of: Definition, method: ast.FunctionDef) -> None:
        self.reached.add((of[0], f"{of[1]}.{method.name}"))
        self._use(of[0], method)

    def _of_others(self, module: str, base: ast.expr) -> bool:
        name = ast.unparse(base).split("[")[0].rsplit(".", 1)[-1]
        return name not in _PLAIN_BASES and not self.sources.used_by(module, base).found

    def _use(self, module: str, node: ast.AST) -> None:
        used = self.sources.used_by(module, node)
        self.ahead += used.found
        for name in used.attributes - self._asked:
            self._asked.add(name)
            for of, method in self._waiting.pop(name, []):
                self._take_method(of, method)


class _Uses(ast.NodeVisitor):
    """What a piece of a module names: definitions, and attributes of objects nobody knows here."""

    def __init__(self, sources: Sources, module: _Module) -> None:
        self.found: set[Definition] = set()
        self.attributes: set[str] = set()
        self._sources, self._module = sources, module
        self._scopes: list[dict[str, str | None]] = []

    def visit_FunctionDef(self, node: _Function) -> None:
        """Names that a function binds are its own; annotations count, as the classes of its inputs and results."""
        if not isinstance(node, ast.Lambda):
            for part in (*node.decorator_list, *([node.returns] if node.returns else ())):
                self.visit(part)
        self.visit(node.args)
        self._scopes.append(_bound(self._module, node))
        for part in node.body if isinstance(node.body, list) else [node.body]:
            self.visit(part)
        self._scopes.pop()

    visit_AsyncFunctionDef = visit_FunctionDef  # noqa: N815
    visit_Lambda = visit_FunctionDef  # noqa: N815

    def visit_Import(self, node: ast.Import) -> None:
        """Pass over an import: what it brings counts where it is named."""

    def visit_ImportFrom(self, node: ast.ImportFrom) -> None:
        """Pass over it likewise."""

    def visit_Name(self, node: ast.Name) -> None:
        """Note the definition that a name stands for."""
        dotted = self._dotted(node.id)
        held = self._sources.resolve(dotted) if dotted else None
        if isinstance(held, tuple):
            self.found.add(held)

    def visit_Attribute(self, node: ast.Attribute) -> None:
        """Note the definition that module.name stands for; else an attribute of some object."""
        chain = [node.attr]
        inner: ast.expr = node.value
        while isinstance(inner, ast.Attribute):
            chain.append(inner.attr)
            inner = inner.value
        dotted = self._dotted(inner.id) if isinstance(inner, ast.Name) else None
        if dotted is None:
            self.attributes.update(chain)
            self.visit(inner)
            return
        while isinstance(self._sources.resolve(dotted), str) and chain:
            dotted = f"{self._sources.resolve(dotted)}.{chain.pop()}"
        held = self._sources.resolve(dotted)
        if isinstance(held, tuple):
            self.found.add(held)
        self.attributes.update(chain)

    def _dotted(self, name: str) -> str | None:
        """Return the full name that a name stands for here; None where it is bound by a function or not ours."""
        for scope in reversed(self._scopes):
            if name in scope:
                return scope[name]
        if name in self._module.definitions:
            return f"{self._module.name}.{name}"
        return self._module.imports.get(name)


def _at_the_top(body: Iterable[ast.stmt]) -> Iterator[ast.stmt]:
    """Yield statements that are done on import, those under a condition too; not what only types are checked by."""
    for statement in body:
        if isinstance(statement, ast.If) and ast.unparse(statement.test).endswith("TYPE_CHECKING"):
            continue
        if isinstance(statement, ast.If | ast.Try | ast.With):
            yield from _at_the_top(part for part in ast.iter_child_nodes(statement) if isinstance(part, ast.stmt))
            for handler in getattr(statement, "handlers", ()):
                yield from _at_the_top(handler.body)
        else:
            yield statement


def _sort_in(module: _Module, statement: ast.stmt) -> None:
    if isinstance(statement, ast.Import | ast.ImportFrom):
        module.imports |= _imported(module, statement)
    elif isinstance(statement, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
        module.definitions[statement.name].append(statement)
    elif isinstance(statement, ast.Assign | ast.AnnAssign | ast.AugAssign):
        targets = statement.targets if isinstance(statement, ast.Assign) else [statement.target]
        for name in (part.id for target in targets for part in ast.walk(target) if isinstance(part, ast.Name)):
            module.definitions[name].append(statement)
    else:
        module.loose.append(statement)


def _imported(module: _Module, statement: ast.Import | ast.ImportFrom) -> dict[str, str]:
    """Return the names that an import binds, each with what it stands for, as far as that is ours."""
    if isinstance(statement, ast.Import):
        named = {name.asname or name.name.split(".")[0]: name.name if name.asname else name.name.split(".")[0]
                 for name in statement.names}  # fmt: skip
    else:
        base = statement.module or ""
        if statement.level:
            parts = module.name.split(".")
            base = ".".join([*parts[: len(parts) - statement.level + module.package], *([base] if base else [])])
        named = {name.asname or name.name: f"{base}.{name.name}" for name in statement.names}
    ours = module.name.split(".")[0]
    return {name: dotted for name, dotted in named.items() if dotted.split(".")[0] == ours}


def _bound(module: _Module, function: _Function) -> dict[str, str | None]:
    """Return the names that a function binds: what an import in it stands for, None for all others."""
    given = function.args
    names = [
        *given.posonlyargs,
        *given.args,
        *given.kwonlyargs,
        *(name for name in (given.vararg, given.kwarg) if name),
    ]
    bound: dict[str, str | None] = {}
    shared: set[str] = set()
    ahead: list[ast.AST] = list(function.body) if isinstance(function.body, list) else [function.body]
    while ahead:
        part = ahead.pop()
        if isinstance(part, ast.Import | ast.ImportFrom):
            bound |= _imported(module, part)
        elif isinstance(part, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            bound[part.name] = None
        elif isinstance(part, ast.Global):
            shared.update(part.names)
        elif isinstance(part, ast.Name) and isinstance(part.ctx, ast.Store):
            bound.setdefault(part.id, None)
        elif not isinstance(part, ast.Lambda):
            ahead += ast.iter_child_nodes(part)
    bound |= dict.fromkeys(name.arg for name in names)
    return {name: dotted for name, dotted in bound.items() if name not in shared}


def _marked(method: ast.FunctionDef) -> bool:
    """Whether a decorator may call a method by itself, as those of pydantic do."""
    marks = {ast.unparse(mark).split("(")[0].rsplit(".", 1)[-1] for mark in method.decorator_list}
    return bool(marks - _PLAIN_MARKS)
