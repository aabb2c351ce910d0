"""Edits change what they name and nothing else; the result reads as meant."""

from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from slotfit.errors import InputError
from slotfit.load.edit import Append, Edit, Put, Remove, Rename, diff_of, edit_file, edited
from slotfit.load.yaml_file import parse_yaml

HERE = Path(__file__).parent
CASES = yaml.safe_load((HERE / "edits" / "cases.yaml").read_text(encoding="utf-8"))
KINDS: dict[str, Any] = {"put": Put, "append": Append, "remove": Remove, "rename": Rename}


def edit_named(kind: str, loc: list[Any], *rest: Any) -> Edit:
    edit: Edit = KINDS[kind](tuple(loc), *rest)
    return edit


@pytest.mark.parametrize("name", sorted(CASES["cases"]))
def test_text_after_edits(name: str) -> None:
    case = CASES["cases"][name]
    edits = [edit_named(*one) for one in case["edits"]]
    assert edited(case["text"], edits, "f.yaml") == case["gives"]


@pytest.mark.parametrize("name", sorted(CASES["refused"]))
def test_what_cannot_be_edited_is_said(name: str) -> None:
    case = CASES["refused"][name]
    with pytest.raises(InputError) as caught:
        edited(case["text"], [edit_named(*one) for one in case["edits"]], "f.yaml")
    assert str(caught.value).split("\n") == case["says"]


def test_a_file_keeps_its_mark_and_line_ends(tmp_path: Path, monkeypatch: Any) -> None:
    monkeypatch.chdir(tmp_path)
    file = tmp_path / "b.yaml"
    file.write_bytes(b"\xef\xbb\xbfid: b\r\ncount: 2  # two\r\nname: x")
    diff = edit_file(file, [Put(("count",), 3), Put(("near",), "cpu0")])
    assert file.read_bytes() == b"\xef\xbb\xbfid: b\r\ncount: 3  # two\r\nname: x\r\nnear: cpu0"
    assert diff.splitlines() == [
        "--- b.yaml",
        "+++ b.yaml",
        "@@ -1,3 +1,4 @@",
        " id: b",
        "-count: 2  # two",
        "-name: x",
        "\\ No newline at end of file",
        "+count: 3  # two",
        "+name: x",
        "+near: cpu0",
        "\\ No newline at end of file",
    ]


def test_nothing_changed_is_no_diff() -> None:
    assert diff_of("a: 1\n", "a: 1\n", "f") == ""


# Random documents in random styles, and random edits of them.

WORDS = st.sampled_from(
    ["a", "b", "slot1", "no", "4", "x y", "it's", "k: v", "", "#", "é", "- ", "a\n"]
)
LEAVES = st.one_of(WORDS, st.integers(-5, 99), st.booleans(), st.none(), st.just(0.5))
VALUES = st.recursive(
    LEAVES,
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(WORDS, inner, max_size=3)),
    max_leaves=8,
)
DOCUMENTS = st.dictionaries(WORDS, VALUES, min_size=1, max_size=4)
COMMENTS = st.sampled_from(["", "", "", "  # note"])


@st.composite
def documents(draw: st.DrawFn) -> str:
    """A document in block and flow style with comments, quotes and an indentation of its own."""
    width = draw(st.integers(1, 4))
    value = draw(DOCUMENTS)
    lines = [*mapping_lines(draw, value, "", width)]
    text = draw(st.sampled_from(["\n", "\r\n"])).join(lines)
    end = draw(st.sampled_from(["", "\n", "\n\n# the end\n"]))
    end = end or "\n" if "|" in text or ">" in text else end  # a line end would be the text's own
    return text + (end.replace("\n", "\r\n") if "\r\n" in text else end)


def scalar(draw: st.DrawFn, value: Any) -> str:
    if isinstance(value, str):
        if "\n" in value:
            return '"a\\n"'
        single = "'" + value.replace("'", "''") + "'"
        plain = [value] if value in ("a", "b", "slot1", "no", "x y", "é") else []
        return draw(st.sampled_from([single, f'"{value}"', *plain]))
    return (
        {None: draw(st.sampled_from(["null", "~"])), True: "true", False: "false"}.get(
            value, str(value)
        )
        if value is None or isinstance(value, bool)
        else str(value)
    )


def flow(draw: st.DrawFn, value: Any, indent: str) -> str:
    """A value between brackets, on one line or on several."""
    if isinstance(value, dict):
        parts = [f"{scalar(draw, key)}: {flow(draw, one, indent)}" for key, one in value.items()]
        ends = "{}"
    elif isinstance(value, list):
        parts, ends = [flow(draw, one, indent) for one in value], "[]"
    else:
        return scalar(draw, value)
    style = draw(st.sampled_from(["tight", "wide", "lines", "comma"])) if parts else "tight"
    if style == "lines":
        inner = f"{draw(COMMENTS)}\n{indent}  "
        comma = draw(st.sampled_from(["", ","]))
        return ends[0] + inner + f",{inner}".join(parts) + f"{comma}\n{indent}{ends[1]}"
    space, comma = (" " if style == "wide" else ""), ("," if style == "comma" else "")
    return ends[0] + space + ", ".join(parts) + comma + space + ends[1]


def value_lines(draw: st.DrawFn, head: str, value: Any, indent: str, width: int) -> list[str]:
    """A key or dash and what stands behind or below it."""
    deeper = indent + " " * width
    if value and isinstance(value, dict | list) and draw(st.booleans()):
        below = below_of(draw, head, value, indent, width)
        gap = len(below[0]) - len(below[0].lstrip()) - len(head)
        is_nested = head.endswith("-") and gap >= 1 and not below[0].lstrip().startswith("#")
        if is_nested and draw(st.booleans()):
            return [head + " " * gap + below[0].lstrip(), *below[1:]]
        return [head + draw(COMMENTS), *below]
    if value is None and draw(st.booleans()):
        return [head + draw(COMMENTS)]
    if value == "a" and draw(st.booleans()):
        mark = draw(st.sampled_from(["|-", ">-"]))
        return [f"{head} {mark}", f"{deeper} a", *draw(st.sampled_from([[], [""]]))]
    if value == "a\n" and draw(st.booleans()):
        return [f"{head} {draw(st.sampled_from(['|', '|+', '>']))}", f"{deeper} a"]
    return [*f"{head} {flow(draw, value, deeper)}{draw(COMMENTS)}".split("\n")]


def below_of(draw: st.DrawFn, head: str, value: Any, indent: str, width: int) -> list[str]:
    """The lines of a list or mapping below its key or dash; a list may stand right below a key."""
    deeper = indent + " " * width
    if isinstance(value, dict):
        return [*mapping_lines(draw, value, deeper, width)]
    is_item = head.endswith("-")
    return [
        *list_lines(
            draw, value, draw(st.sampled_from([deeper, deeper if is_item else indent])), width
        )
    ]


def mapping_lines(draw: st.DrawFn, value: dict[str, Any], indent: str, width: int) -> Any:
    for key, one in value.items():
        yield from draw(st.sampled_from([[], [], [f"{indent}# above"], [""]]))
        yield from value_lines(draw, f"{indent}{scalar(draw, key)}:", one, indent, width)


def list_lines(draw: st.DrawFn, value: list[Any], indent: str, width: int) -> Any:
    for one in value:
        yield from draw(st.sampled_from([[], [], [f"{indent}# above"]]))
        yield from value_lines(draw, f"{indent}-", one, indent, width)


def locs_in(value: Any, loc: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    if not isinstance(value, dict | tuple):
        return []
    steps = value.items() if isinstance(value, dict) else enumerate(value)
    return [deep for step, one in steps for deep in [(*loc, step), *locs_in(one, (*loc, step))]]


def tuples(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: tuples(one) for key, one in value.items()}
    return tuple(map(tuples, value)) if isinstance(value, list | tuple) else value


def value_at(value: Any, loc: tuple[Any, ...]) -> Any:
    for step in loc:
        value = value[step]
    return value


def after(root: Any, edit: Edit) -> Any:
    """What the content is to be, worked out on lists and dicts in place."""
    root = lists(root)
    if isinstance(edit, Append):
        value_at(root, edit.loc).append(edit.value)
        return tuples(root)
    holder, step = value_at(root, edit.loc[:-1]), edit.loc[-1]
    match edit:
        case Put():
            holder[step] = edit.value
        case Remove():
            del holder[step]
        case Rename():
            pairs = [(edit.key if key == step else key, one) for key, one in holder.items()]
            holder.clear()
            holder.update(pairs)
    return tuples(root)


def lists(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: lists(one) for key, one in value.items()}
    return [lists(one) for one in value] if isinstance(value, tuple) else value


@st.composite
def edits(draw: st.DrawFn, root: Any) -> Edit:
    """An edit of any kind that can be made."""
    loc = draw(st.sampled_from(locs_in(root)))
    holder, value = value_at(root, loc[:-1]), value_at(root, loc)
    ways = ["put", "remove"]
    ways += ["add", "rename"] if isinstance(holder, dict) else []
    ways += ["append"] if isinstance(value, tuple) else []
    match draw(st.sampled_from(ways)):
        case "add":
            return Put((*loc[:-1], draw(WORDS.filter(lambda one: one not in holder))), draw(VALUES))
        case "rename":
            return Rename(loc, draw(WORDS.filter(lambda one: one not in holder)))
        case "append":
            return Append(loc, draw(VALUES))
        case "remove":
            return Remove(loc)
        case _:
            return Put(loc, draw(VALUES))


def node_at(text: str, loc: tuple[Any, ...]) -> tuple[int, int]:
    """The lines, from 0, of the key or dash before a value, and behind the value's last."""
    node: Any = yaml.compose(text, Loader=yaml.SafeLoader)
    first = 0
    for step in loc:
        if isinstance(node, yaml.MappingNode):
            key, node = next(pair for pair in node.value if pair[0].value == step)
            first = key.start_mark.line
        else:
            # A dash may stand on a line of its own, right behind what is before it.
            before = node.value[step - 1].end_mark.line if step else first
            node = node.value[step]
            first = min(before, node.start_mark.line)
    return first, node.end_mark.line + (node.end_mark.column > 0)


@given(st.data())
def test_random_edits_of_random_documents(data: st.DataObject) -> None:
    text = data.draw(documents())
    before = parse_yaml(text, "f")
    assert not before.mistakes
    edit = data.draw(edits(before.root))
    result = edited(text, [edit], "f")
    assert repr(parse_yaml(result, "f").root) == repr(after(before.root, edit))
    container = edit.loc if isinstance(edit, Append) else edit.loc[:-1]
    old, new = text.splitlines(), result.splitlines()
    first, last = node_at(text, container)
    assert new[:first] == old[:first]
    assert len(old) == last or new[last - len(old) :] == old[last:]
