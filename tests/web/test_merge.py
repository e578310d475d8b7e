"""Three-way merging: what each changed alone is kept, what both changed is named, nothing is invented."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from planewright.web.api import Change
from planewright.web.merge import merge_lines, merge_texts, touching

LINES = st.lists(st.sampled_from("abcdef"), max_size=8).map(lambda one: "".join(f"{x}\n" for x in one))


@given(LINES, LINES)
def test_one_side_alone_gives_its_text(base: str, changed: str) -> None:
    for yours, theirs in ((changed, base), (base, changed), (changed, changed)):
        merged = merge_lines(base, yours, theirs)
        assert not merged.touching and merged.text == changed


@given(LINES, LINES, LINES)
def test_a_clash_keeps_theirs_and_nothing_is_invented(base: str, yours: str, theirs: str) -> None:
    merged = merge_lines(base, yours, theirs)
    if not merged.touching:
        assert merge_lines(base, theirs, yours).text == merged.text
    every = set(base.split()) | set(yours.split()) | set(theirs.split())
    assert set(merged.text.split()) <= every


def test_a_merge_that_is_no_toml_is_a_clash() -> None:
    base = "a = 1\n\n\n\n\nb = 2\n"
    yours, theirs = base.replace("b = 2", "c = 3\nb = 2"), "c = 4\n" + base
    merged = merge_texts("x.toml", base, yours, theirs)
    assert merged.touching and merged.text == theirs


def test_touching_compares_places_not_texts() -> None:
    base, theirs = 'a = "1"\nb = [1, 2]\n', '# moved\nb = [1, 2]\na = "1"\n'
    assert touching(base, theirs, [Change(file="x", path="a", text="2")]) == ()
    other = theirs.replace('"1"', '"3"').replace("[1, 2]", "[0, 1, 2]")
    assert touching(base, other, [Change(file="x", path="a", text="2")]) == ("a",)
    assert touching(base, other, [Change(file="x", path="a", text="3")]) == ()
    assert touching(base, other, [Change(file="x", path="b.1", do="remove")]) == ("b.1",)
