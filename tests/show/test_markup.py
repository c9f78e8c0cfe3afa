"""Pieces of pages: tables that a phone can show, marks in sentences, words that are explained."""

import html5lib

from sim.show.writers.markup import Html, listed, stated, table, tag
from sim.show.writers.terms import Terms

X = "{http://www.w3.org/1999/xhtml}"


def tree(piece):
    return html5lib.parseFragment(piece, namespaceHTMLElements=True)


def rows(piece):
    return [["".join(cell.itertext()) for cell in row] for row in tree(piece).iter(f"{X}tr")]


def styled(piece):
    return next(tree(piece).iter(f"{X}table")).get("class")


def test_a_column_without_a_word_in_it_is_left_out_and_the_others_keep_their_heads():
    made = table("c", ("a", "b", "c", "d"), [("1", "", "2", "x"), ("3", "", "", "y")], numbers=(2,), broad=3)
    assert rows(made) == [["a", "c", "d"], ["1", "2", "x"], ["3", "", "y"]]
    cells = list(tree(made).iter(f"{X}td"))
    assert [cell.get("data-head") for cell in cells] == ["c", "d", "c", "d"]
    assert [cell.get("class") for cell in cells[:2]] == ["number", "broad"]


def test_the_first_column_stays_though_it_is_empty():
    assert rows(table("c", ("", "b"), [("", "2")])) == [["", "b"], ["", "2"]]


def test_a_number_is_one_piece_with_its_unit_and_its_give_or_take():
    made = table("c", ("a", "b"), [("x", "between 1.10 g/cm3 and 1.20 +- 0.05 g/cm3, 5 in 3 gales, 33 %")])
    pieces = ["".join(e.itertext()) for e in tree(made).iter(f"{X}span") if e.get("class") == "quantity"]
    assert pieces == ["1.10 g/cm3", "1.20 +- 0.05 g/cm3", "5 in", "33 %"]
    assert rows(made)[1][1] == "between 1.10 g/cm3 and 1.20 +- 0.05 g/cm3, 5 in 3 gales, 33 %"


def test_a_few_numbers_after_one_name_are_strips_on_a_phone_and_anything_else_is_cards():
    heads = ("name", "a", "b", "c", "d", "e")
    few, many = heads[:5], heads
    numbers = range(1, 6)
    assert styled(table("c", few, [("x", *"1234")], numbers, broad=0)) == "strips of-4"
    assert styled(table("c", many, [("x", *"12345")], numbers, broad=0)) == "cards pairs"
    assert styled(table("c", many, [("x", *"1234", "1.00 +- 0.25")], numbers, broad=0)) == "cards"
    assert styled(table("c", few, [("x", "1", "2", "3", "words")], (1, 2, 3), broad=0)) == "cards"
    assert styled(table("c", few, [("x", *"1234")], (1, 2, 4), broad=3)) == "cards"
    assert styled(table("c", few, [("x", *"1234")], numbers)) is None
    assert styled(table("c", heads[:3], [("x", "0.22 +- 0.03 g/mL", "taken out")], broad=0)) == "strips of-2"
    assert (
        styled(table("c", heads[:3], [("x", "what is too long for half a phone", "y")], broad=0)) == "cards"
    )


def test_what_stands_between_backticks_is_code_and_stays_escaped():
    assert stated("run `a <b>` & go") == "run <code>a &lt;b&gt;</code> &amp; go"
    assert stated("it's 5` long") == "it&#x27;s 5` long"
    assert stated(Html("`<b>`")) == "`<b>`"
    assert listed(["`x`"]) == "<ul><li><code>x</code></li></ul>"
    assert tag("p", "`x`") == "<p>`x`</p>"


def test_a_bracket_is_not_parted_from_the_word_it_opens_for():
    made = Terms().marked('what it does (dives, "wakes")', "dives", "wakes")
    spans = [e for e in tree(made).iter(f"{X}span") if e.get("class") == "explained"]
    assert [e.text for e in spans] == ["(", '"']
