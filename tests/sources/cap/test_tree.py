"""XML and JSON as one form of tree, and how large and how deep it may be."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from safety_check.errors import DataError
from safety_check.sources.cap.tree import (
    from_element,
    from_json,
    read_json,
    read_xml,
    refuse_size,
    text,
    texts,
    trees,
)


def test_an_answer_may_be_as_large_as_the_limit_and_no_larger():
    refuse_size(b"12345", "a service", 5)
    with pytest.raises(DataError, match="over 2 MB"):
        refuse_size(b" " * 2_000_001, "a service", 2_000_000)


@pytest.mark.parametrize(
    ("value", "held"),
    [
        *(("x", ("x",)), (7, ("7",)), (0.5, ("0.5",)), (True, ()), (None, ())),
        *((["x", [7, None]], ("x", "7")), ({"b": "x"}, ({"b": ("x",)},)), ([], ())),
    ],
)
def test_each_value_of_json_is_a_list_of_texts_and_trees(value, held):
    assert from_json({"a": value}) == {"a": held}


@pytest.mark.parametrize("value", [None, [], "x", 7])
def test_what_is_no_object_is_a_tree_without_keys(value):
    assert from_json(value) == {}


def test_a_tree_of_json_has_six_levels():
    deep: object = "x"
    for name in "gfedcba":
        deep = {name: deep}

    tree = from_json(deep)  # six levels below the first, and what is deeper is left out
    for name in "abcdef":
        [tree] = trees(tree, name)
    assert tree == {"g": ("x",)}
    [inner] = from_json({"z": deep})["z"]
    for name in "abcde":
        assert not isinstance(inner, str)
        [inner] = trees(inner, name)
    assert inner == {"f": ()}


def test_a_tree_of_xml_has_names_without_namespaces_and_six_levels():
    inside = "<a><b><c><d><e><f><g>x</g></f></e></d></c></b></a>"
    root = ElementTree.fromstring(f"<r xmlns='urn:x'><t> one </t><t/><t>two</t>{inside}</r>")

    tree = from_element(root)

    assert (texts(tree, "t"), text(tree, "t")) == (("one", "two"), "one")
    for name in "abcde":
        [tree] = trees(tree, name)
    assert tree == {"f": ({},)}
    assert from_element(ElementTree.fromstring("<r>x</r>")) == {}


def test_what_is_no_json_is_told_by_its_first_forty_bytes():
    for body, start in ((b"", "nothing"), (b"x" * 39 + b"yz", "x" * 39 + "y")):
        with pytest.raises(DataError, match=f"not JSON as documented, it begins with '{start}'"):
            read_json(body, "a service")


def test_a_document_type_is_refused_although_it_declares_nothing():
    assert read_xml(b" <alert/> ", "a service").tag == "alert"
    with pytest.raises(DataError, match="declares entities or a document type"):
        read_xml(b"<!DOCTYPE alert><alert/>", "a service")
