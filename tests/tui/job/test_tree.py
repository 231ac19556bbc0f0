"""The immutable tree of a job: text is cleaned, values are looked up, put in and cut out at their paths."""

import pytest

from tui.job.tree import Raw, Tree, TreePath, brief, clean, cut, freeze, look_up, put, thaw

TREE = Tree({"title": "Stand", "load": {"mass": 3}, "setup": [{"name": "a"}, {"name": "b"}], "mm": (1, 2)})


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("coil", "coil"),
        ("a\tb\nc\vd\fe\rf\x85g\u2028h\u2029i", "a b c d e f g h i"),
        ("\x1b[31mred\x07", "[31mred"),
        ("left\u202eright\u2066on\u200b", "leftrighton"),
        ("half \ud800 of one", "half  of one"),
        ("\u0915\u094d\u200d\u0937 \u0646\u200c\u0647", "\u0915\u094d\u200d\u0937 \u0646\u200c\u0647"),
        ("joined \u200d and \u202a marked", "joined \u200d and  marked"),
        # A letter from the private use area is no mark, though it cannot be printed.
        ("own \ue000", "own \ue000"),
    ],
)
def test_text_keeps_its_letters_and_joiners_and_loses_controls_and_marks(text: str, kept: str) -> None:
    assert clean(text) == kept


def test_a_text_of_sixty_letters_fits_a_line_and_a_longer_one_is_shortened() -> None:
    assert brief("x" * 59) == "x" * 59
    assert brief("x" * 60) == "x" * 60
    assert brief("x" * 61) == "x" * 60 + "..."


def test_a_tree_is_frozen_all_through_and_thaws_to_plain_tables_and_lists() -> None:
    raw: Raw = {"a": [1, {"b": ["x\n", True]}], "c": 2.5}
    frozen = freeze(raw)
    assert frozen == Tree({"a": (1, Tree({"b": ("x ", True)})), "c": 2.5})
    assert isinstance(frozen["a"], tuple)
    assert isinstance(frozen["a"][1], Tree)
    assert freeze(frozen) is frozen
    assert thaw(frozen) == {"a": [1, {"b": ["x ", True]}], "c": 2.5}
    assert type(thaw(frozen)) is dict
    assert type(thaw(frozen)["a"]) is list
    assert thaw("x") == "x"


def test_a_tree_shows_its_content_and_counts_its_keys_in_the_order_of_the_file() -> None:
    assert repr(Tree({"b": 1, "a": (2,)})) == "Tree({'b': 1, 'a': (2,)})"
    assert list(TREE) == ["title", "load", "setup", "mm"]
    assert len(TREE) == 4
    assert TREE == TREE
    assert hash(TREE) == hash(Tree(dict(TREE)))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({"a": True}, {"a": 1}), ({"a": 0}, {"a": False}), ({"a": (1, 0.0)}, {"a": (True, 0.0)}),
        ({"a": (True, 1)}, {"a": (1, True)}), ({"a": {"b": True}}, {"a": {"b": 1}}),
        ({"a": (1, (0,))}, {"a": (1, (False,))}), ({"s": [{"a": 1}]}, {"s": [{"a": True}]}),
    ],
)  # fmt: skip
def test_true_is_not_one_and_false_is_not_nought(one: Raw, other: Raw) -> None:
    first, second = Tree(one), Tree(other)
    assert first != second
    assert hash(first) != hash(second)
    assert len({first, second, Tree(one), Tree(other)}) == 2
    assert first == Tree(one)


@pytest.mark.parametrize(
    ("path", "there"),
    [
        ((), TREE),
        (("title",), "Stand"),
        (("load", "mass"), 3),
        (("setup", 0, "name"), "a"),
        (("setup", 1, "name"), "b"),
        (("mm", 0), 1),
        (("mm", 1), 2),
        (("mm", 2), None),
        (("mm", -1), None),
        (("mm", "0"), None),
        (("load", 0), None),
        (("title", 0), None),
        (("load", "mass", "unit"), None),
        (("nothing", "here"), None),
    ],
)
def test_a_path_leads_to_its_value_or_to_none(path: TreePath, there: Raw) -> None:
    assert look_up(TREE, path) == there


def test_a_value_is_put_in_at_its_place_and_tables_on_the_way_are_made() -> None:
    assert put(TREE, (), {"a": [1]}) == Tree({"a": (1,)})
    assert put(None, ("a", "b"), "x\n") == Tree({"a": {"b": "x "}})
    assert put(TREE, ("mm", 0), 9)["mm"] == (9, 2)
    assert put(TREE, ("mm", 1), 9)["mm"] == (1, 9)
    assert put(TREE, ("mm", 2), 9)["mm"] == (1, 2, 9)
    assert put(TREE, ("setup", 1, "name"), "c")["setup"] == (Tree({"name": "a"}), Tree({"name": "c"}))
    assert put(TREE, ("setup", 2, "name"), "c")["setup"][2] == Tree({"name": "c"})
    assert put(TREE, ("title", "short"), "x")["title"] == Tree({"short": "x"})
    assert put(TREE, ("load", 0), "x")["load"] == ("x",)
    assert TREE["mm"] == (1, 2)


@pytest.mark.parametrize(("step", "length"), [(3, 2), (-1, 2)])
def test_a_place_beyond_an_array_is_refused(step: int, length: int) -> None:
    with pytest.raises(IndexError, match=f"^no place {step} in an array of {length}$"):
        put(TREE, ("mm", step), 9)


def test_a_value_is_cut_out_and_nothing_else() -> None:
    assert cut(TREE, ("title",)) == Tree({key: TREE[key] for key in ("load", "setup", "mm")})
    assert cut(TREE, ("load", "mass"))["load"] == Tree({})
    assert cut(TREE, ("mm", 0))["mm"] == (2,)
    assert cut(TREE, ("mm", 1))["mm"] == (1,)
    assert cut(TREE, ("setup", 0))["setup"] == (Tree({"name": "b"}),)
    assert cut(TREE, ("setup", 1, "name"))["setup"] == (Tree({"name": "a"}), Tree({}))
    for nowhere in ((), ("nothing",), ("mm", 2), ("mm", -1), ("load", "mass", "unit")):
        assert cut(TREE, nowhere) is TREE
