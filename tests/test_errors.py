"""Messages say what, where, and what to do."""

import pytest

from tipline.errors import InputError, InputErrors, MissingPart, NumericalError, TiplineError

FULL = InputError("too far", file="a.toml", line=3, key="setup.tilt", value='"9 deg"', remedy="Use less")


def test_an_input_error_reads_as_one_line():
    assert str(FULL) == 'a.toml:3: setup.tilt = "9 deg": too far. Use less'
    assert str(InputError("no such file", file="a.toml")) == "a.toml: no such file"
    assert str(InputError('did you mean "b"?', key="c", remedy="Use b")) == 'c: did you mean "b"? Use b'


def test_several_problems_are_listed_and_the_first_stands_for_all():
    several = InputErrors([FULL, InputError("odd")])
    assert str(several).splitlines() == ["2 problems:", f"  {FULL}", "  odd"]
    assert (several.file, several.line, several.key, several.exit_code) == ("a.toml", 3, "setup.tilt", 2)
    assert str(InputErrors([FULL])) == str(FULL)
    with pytest.raises(ValueError, match="at least one"):
        InputErrors([])


def test_numerical_and_missing():
    error = NumericalError("grew without bound", time=1.25, quantity="energy", remedy="Use a shorter step")
    assert str(error) == "at 1.25 s: energy: grew without bound. Use a shorter step"
    assert error.exit_code == 3
    assert str(MissingPart("no OpenGL", install="apt-get install x")) == "no OpenGL. To add it: apt-get install x"
    assert all(issubclass(kind, TiplineError) for kind in (InputError, NumericalError, MissingPart))
