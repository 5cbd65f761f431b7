"""Identities are the same on any machine, and differ where anything differs."""

import hashlib
from types import MappingProxyType

import pytest

from edgeshift.records.identity import canonical_json, digest, sha256_of


def test_the_borders_between_parts_count():
    assert digest("ab", "c") != digest("a", "bc")


def test_text_counts_as_its_utf8_bytes():
    assert digest("Ton µ") == digest("Ton µ".encode())


def test_the_digest_is_sha256_over_length_and_part():
    by_hand = hashlib.sha256((3).to_bytes(8, "big") + b"abc").hexdigest()
    assert digest(b"abc") == by_hand


def test_sha256_agrees_with_the_published_value_for_abc():
    # FIPS 180-2, appendix B.1
    assert sha256_of(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_order_of_keys_and_kind_of_sequence_do_not_matter():
    one = canonical_json({"b": (1, 2), "a": MappingProxyType({"y": 1, "x": None})})
    assert one == canonical_json({"a": {"x": None, "y": 1}, "b": [1, 2]})


def test_a_number_that_json_cannot_say_is_refused():
    with pytest.raises(ValueError, match="not JSON compliant"):
        canonical_json({"value": float("nan")})


def test_a_thing_that_is_no_plain_data_is_refused():
    with pytest.raises(TypeError, match="no canonical JSON for set"):
        canonical_json({1, 2})
