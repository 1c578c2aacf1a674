"""Line numbers of keys agree with what the TOML reader of the standard library finds."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tipline.model.positions import line_numbers

TEXT = '''# note
title = "a # not a note"
[one.two]
"quoted key" = 1  # note
dotted.key = { inner = [1,2], other = "}" }
[[many]]
a = [
  "x",  # ]
  ["y", """three
lines "" here"""],
]
[[many]]
b = \'\'\'it's
here\'\'\'
[many.under]
c = 1979-05-27T07:32:00Z
[[many.entry]]
d = 1
'''


def paths(node, path=()):
    if path:
        yield path
    if isinstance(node, dict):
        for key, value in node.items():
            yield from paths(value, (*path, key))
    elif isinstance(node, list):
        for index, value in enumerate(node):
            yield from paths(value, (*path, index))


def test_every_path_has_its_line():
    lines = line_numbers(TEXT)
    assert set(paths(tomllib.loads(TEXT))) <= set(lines)
    assert lines["title",] == 2
    assert lines["one", "two", "quoted key"] == 4
    assert lines["one", "two", "dotted", "key", "other"] == 5
    assert lines["many", 0, "a", 1, 0] == 9
    assert lines["many", 1, "b"] == 13
    assert lines["many", 1, "under", "c"] == 16
    assert lines["many", 1, "entry", 0, "d"] == 18


KEY = st.text("abc-_1", min_size=1, max_size=4)
SCALAR = st.one_of(
    st.integers(-9, 9).map(str),
    st.sampled_from(['""', "''", '"\\""', "'#'", '"[{,}]"', '"""a\n"b"""', "'''\n'a'''", "1.5e3", "true", '"""x"""""']),
)
VALUE = st.recursive(
    SCALAR,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda entries: "[\n" + ", # x\n".join(entries) + "]"),
        st.dictionaries(KEY, SCALAR, max_size=3).map(
            lambda table: "{ " + ", ".join(f"{key} = {value}" for key, value in table.items()) + " }"
        ),
    ),
    max_leaves=6,
)
TABLE = st.dictionaries(KEY, VALUE, max_size=4).map(
    lambda table: "".join(f"{key} = {value} # note\n" for key, value in table.items())
)


@pytest.mark.slow
@given(TABLE, st.lists(st.tuples(st.sampled_from(["[t{}]", "[[list]]", "[[ 'li st' . x ]]"]), TABLE), max_size=4))
def test_any_valid_text_is_followed_to_its_end(top, tables):
    text = top + "".join(f"{head.format(index)}\n{body}" for index, (head, body) in enumerate(tables))
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    lines = line_numbers(text)
    assert set(paths(data)) <= set(lines)
    assert all(1 <= line <= text.count("\n") + 1 for line in lines.values())


def test_what_is_not_toml_does_not_hang():
    with pytest.raises((ValueError, IndexError)):
        line_numbers("a = [1, \n = ")
