"""Words are explained in whole sentences, and a typing error is helped."""

from __future__ import annotations

from fitcheck.design.schema import make_schema
from fitcheck.outputs.words import WORDS, explained


def test_words_stand_in_order_and_are_explained_in_sentences() -> None:
    assert list(WORDS) == sorted(WORDS)
    assert all(text.endswith((".", "pt.")) and len(text) > 15 for text in WORDS.values())


def test_forms_of_a_word_are_found() -> None:
    for asked in ("Mitre", "mitres", "tuck-flap", "crease_allowance", "  dust   flaps "):
        assert explained(asked) is not None, asked
    assert explained("unicorn") is None


def test_keys_of_a_design_that_are_words_of_the_trade_are_explained() -> None:
    """Those that a newcomer meets first."""
    keys = {"floor", "inside", "opening", "slack", "stock", "tools", "joint", "grain", "oversize"}
    said = str(make_schema())
    assert all(f"'{key}'" in said and explained(key) for key in keys)


def test_the_words_that_a_design_is_made_of_are_explained_themselves() -> None:
    """Those that the design rules fix before anything else, each under its own name."""
    fixed = (
        "stock caliper score crease crease-allowance joint fold-angle hem panel pattern part base "
        "lid tab setback fence play content dummy coupon gauge"
    )
    assert not [word for word in fixed.split() if explained(word) is None]
    degrees = WORDS["fold angle"].split()
    assert [word for word in degrees if word.isdigit()] == ["0", "90", "180"]


def test_words_of_measuring_and_recording_are_explained() -> None:
    """Those that the program prints while a paper or a hand is measured and boxes are recorded."""
    printed = (
        "allowance batch channel forecast give hand hygroexpansion push-out scatter stack "
        "standard-uncertainty"
    )
    assert not [word for word in printed.split() if explained(word) is None]
    # 1 mm of 200 mm over 40 %
    assert f"{1 / 200 / 40:.6f}" in WORDS["hygroexpansion"]
