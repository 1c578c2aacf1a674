"""Reports set again from a folder alone, two side by side, and the method statement."""

from __future__ import annotations

import ast
import json
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

import tipline
from filed_sheets import text_of
from tipline.errors import InputError
from tipline.report.page import Page, Pictures, Table
from tipline.report.stored import read_filed
from tipline.selftest import method

NO_ENGINE = (
    "tipline.engines", "tipline.kernels", "tipline.statics", "tipline.pose", "tipline.runs.assessment", "tipline.view",
    "numba", "pybullet", "trimesh", "scipy", "pyvista", "matplotlib",
)  # fmt: skip


def tipline_without(names: tuple[str, ...], *words: object, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run the command line as if some modules were not there."""
    code = f"import sys\nsys.modules.update(dict.fromkeys({names!r}))\nfrom tipline.cli import main\nmain()"
    command = [sys.executable, "-c", code, *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, cwd=cwd, check=False)


def table(page: Page, title: str) -> Table:
    return next(one for one in page.sections if isinstance(one, Table) and one.title == title)


@pytest.fixture(scope="module")
def heavier(scenario: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tipline.write(tipline.check(scenario), tmp_path_factory.mktemp("heavier") / "heavy")


US, LETTER = ("--units", "us"), ("--paper", "letter")
REBUILT = [
    ("checked", (*US, *LETTER)),
    *(
        pytest.param(*kind, marks=pytest.mark.slow)
        for kind in (
            ("ran", ()), ("asked", ()), ("floored", (*US, *LETTER)), ("swept", LETTER), ("sloped", ()),
            ("incident", (*US, *LETTER)),
        )
    ),
]  # fmt: skip


@pytest.mark.parametrize(("folder", "words"), REBUILT)
def test_page_and_pdf_are_set_again_to_the_same_bytes_without_any_engine(
    request: pytest.FixtureRequest, tmp_path: Path, folder: str, words: tuple[str, ...]
) -> None:
    there = request.getfixturevalue(folder)
    copy, page = shutil.copytree(there, tmp_path / "copy"), read_filed(there).left
    for name in (page, "report.pdf", "run.parquet", "inputs"):
        path = copy / name
        shutil.rmtree(path) if path.is_dir() else path.unlink(missing_ok=True)
    done = tipline_without(NO_ENGINE, "report", "copy", *words, cwd=tmp_path)
    assert done.returncode == 0, done.stderr[-2000:]
    for name in (page, "report.pdf"):
        assert (copy / name).read_bytes() == (there / name).read_bytes(), name
    assert sorted(path.name for path in copy.iterdir()) == sorted(
        path.name for path in there.iterdir() if path.name not in ("run.parquet", "inputs")
    )


@pytest.mark.slow
def test_without_the_library_for_pdf_the_page_is_set_and_the_rest_is_named(ran: Path, tmp_path: Path) -> None:
    shutil.copytree(ran, tmp_path / "copy")
    (tmp_path / "copy" / "report.pdf").unlink()
    done = tipline_without(("typst",), "report", "copy", cwd=tmp_path)
    assert done.returncode == 0
    assert "Left out: report.pdf" in done.stdout
    assert 'pip install "tipline[paper]"' in " ".join(done.stdout.split())


def test_two_results_stand_side_by_side(checked: Path, heavier: Path) -> None:
    page = tipline.report_of(checked, heavier).page
    assert table(page, "What differs in the inputs").rows == (("load.mass", "3 tonne", "4 tonne"),)
    told = [json.loads((folder / "summary.json").read_text(encoding="utf-8")) for folder in (checked, heavier)]
    distances = table(page, "Distance to each tip line")
    assert distances.columns == ("line", "distance, check", "distance, heavy")
    rows = {row[0]: row[1:] for row in distances.rows}
    for line in ("front", "left"):
        values = (summary["distance_to_tip_line_mm"][line] for summary in told)
        assert rows[f"tip {line}"] == tuple(f"{value:.0f} mm" for value in values)
    assert rows["tip front"][0] != rows["tip front"][1]
    assert page.lead.startswith("in check: stands at rest")
    assert "; in heavy: stands at rest" in page.lead
    glance = page.sections[0]
    assert isinstance(glance, Pictures)
    assert [picture.caption.partition(":")[0] for picture in glance.items] == ["check", "heavy"]
    assert [half.name.partition(":")[0] for half in page.halves] == ["check", "heavy"]
    near = next(cells for word, *cells in table(page, "The two").rows if word == "How near")
    assert [dict(half.said)["How near"] for half in page.halves] == near
    assert all(half.picture is not None for half in page.halves)


def test_a_result_beside_itself_differs_in_nothing(checked: Path, tmp_path: Path) -> None:
    page = tipline.report_of(checked, shutil.copytree(checked, tmp_path / "twin"), units="us").page
    assert page.lead.startswith("both: ")
    titles = [section.title for section in page.sections]
    assert "What differs in how they were made" not in titles
    assert "Nothing" in next(section for section in page.sections if "inputs" in section.title).items[0]  # type: ignore[union-attr]


def test_two_commands_are_not_compared(ran: Path, checked: Path) -> None:
    with pytest.raises(InputError, match=r"is of check, and .* is of run"):
        tipline.report_of(ran, checked)


@pytest.mark.parametrize(
    ("harm", "told"),
    [
        (lambda path: path.unlink(), "is not there"),
        (lambda path: path.write_text("{"), "cannot be read"),
        (lambda path: path.write_text('{"schema": "tipline.report/0"}'), "no report of the form tipline.report/1"),
        (lambda path: path.write_text("[" * 60_000), "cannot be read"),
        (lambda path: path.write_text('{"schema": "tipline.report/1"}'), "a part of it is missing"),
    ],
)
def test_what_is_no_report_is_refused_with_its_name(checked: Path, tmp_path: Path, harm: object, told: str) -> None:
    copy = shutil.copytree(checked, tmp_path / "copy")
    harm(copy / "report.json")  # type: ignore[operator]
    with pytest.raises(InputError, match=told) as found:
        tipline.report_of(copy)
    assert "report.json" in str(found.value)


@pytest.mark.parametrize("words", [(), ("a", "--method"), ("a", "b", "c")])
def test_one_folder_or_two_or_the_method(words: tuple[str, ...], tmp_path: Path) -> None:
    done = tipline_without((), "report", *words, cwd=tmp_path)
    assert done.returncode == 2
    assert "needs one folder, two to compare, or --method alone" in done.stderr


@pytest.fixture(scope="module")
def laws() -> Iterator[tuple[method.Law, ...]]:
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(method, "COMMANDS", ())  # to find what they use takes seconds each
        patched.setattr(method, "run_checks", tuple)
        yield method.laws()


@pytest.mark.slow
def test_every_law_has_its_equation_its_range_and_its_sources(laws: tuple[method.Law, ...]) -> None:
    told = {law.name: law for law in laws}
    stiffness = told["flexural_stiffness"]
    assert stiffness.equation == "D = E h^3 / (12 (1 - nu^2)) [N m]."
    assert all(law.sources and law.what for law in laws)
    assert all(law.equation for law in laws if law.subject.startswith("mechanics"))
    assert told["rubber_line_stiffness"].refuses.startswith("When an argument is not above 0")
    assert "K. L. Johnson: Contact Mechanics (from memory)" in told["rubber_line_stiffness"].sources
    assert "kernels/tyre" in told


@pytest.mark.slow
def test_every_function_with_a_source_is_among_the_laws(laws: tuple[method.Law, ...]) -> None:
    """Of `mechanics` all that give a number (what only refuses is no law), each with more than units of what it gives.

    Half of them were left out while a source that does not begin its line was not seen.
    """
    told = {(law.subject, law.name): law for law in laws}
    there = 0
    for path in sorted((Path(tipline.__file__).parent / "mechanics").glob("[a-z]*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            said = ast.get_docstring(node) if isinstance(node, ast.FunctionDef) else None
            if not isinstance(node, ast.FunctionDef) or node.returns is None:
                continue
            if said and "Source: [" in said and ast.unparse(node.returns) != "None":
                law = told[f"mechanics: {path.stem}", node.name]
                there += 1
                assert len(re.sub(r"\[[^\]]*\]", "", law.equation)) > 4, law.name
                assert "Source:" not in law.equation
    assert there > 90


@pytest.mark.slow
def test_what_is_stepped_says_what_each_function_gives(laws: tuple[method.Law, ...]) -> None:
    told = {law.name: law for law in laws}
    assert "F = k depth (1 + chi rate)" in told["kernels/joints"].equation
    assert "z' = rate * (p / 1 MPa)^power" in told["kernels/ground"].equation
    assert all(law.equation for law in laws)
    assert not any("Arrays:" in law.equation or "-----" in law.equation for law in laws)


@pytest.mark.slow
def test_the_method_statement_has_every_law_under_its_subject_then_the_checks(laws: tuple[method.Law, ...]) -> None:
    used = tuple(replace(law, commands=("floor", "run")) for law in laws)
    told, checks = method.statement(used, 100).split("THE CHECKS")
    assert max(map(len, told.splitlines())) <= 100
    slab = told.split("MECHANICS: SLAB\n")[1].split("MECHANICS: ")[0]
    assert "gives: D = E h^3 / (12 (1 - nu^2)) [N m]." in slab
    assert "used by: floor, run" in slab
    assert all(law.name.replace("_", " ") in told for law in laws if law.subject.startswith("mechanics"))
    assert "of 0 agree" in checks
    assert "results recorded beside those of other libraries" in " ".join(checks.split())


@pytest.mark.slow
def test_the_method_statement_is_written_as_html_and_pdf(
    laws: tuple[method.Law, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A few laws of each part; no row of a long table is cut off at the foot of a sheet."""
    from tipline.cli.report import report
    from tipline.selftest import filed

    some = tuple(law for law in laws if law.subject in {"mechanics: slab", "mechanics: bearing", "sweeps"})
    monkeypatch.setattr(method, "laws", lambda: some)
    monkeypatch.setattr(filed, "run_checks", lambda: [])
    report(None, method=True, out=tmp_path / "statement")
    page = (tmp_path / "statement" / "report.html").read_text(encoding="utf-8")
    text = "".join(text_of(tmp_path / "statement" / "report.pdf").split())
    for law in some:
        assert law.name.replace("_", " ") in page
        assert "".join(law.equation.split())[-30:] in text
    assert "Measuredbyothers" in text
    assert "Opinion" not in text
    assert text.index("1Thelawsofmechanics") < text.index("2Lawssteppedintime") < text.index("3Thechecks")
