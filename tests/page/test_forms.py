"""Short forms of commands: their words, what they answer, and what of it comes into the design or its log."""

import time

import pytest

from sim.cli.forms import forms
from sim.cli.parser import parser
from sim.design.load import read
from sim.page.forms import FormError, Input
from tests.page.conftest import KEY, SCENARIOS, ask

FORMS = {form.name: form for form in forms()}
FILLED = {
    "explain": {"observed": "sank; rolled over at 0.6 m/s from nose"},
    "remedy": {"want": "floats with 2 g to spare"},
    "log": {"said": "sank 1 m in 4.2 +- 0.2 s", "water": "14 C"},
    "strike": {"strike_out": "1", "because": "wrote 42 for 4.2"},
    "thing": {"weight": "21 g"},
    "reading": {"kind": "cavity", "full": "31.4 g", "empty": "17.4 g"},
    "mix": {"part": "resin=1 hardener=1", "fill": "12 mL", "poured": "resin=4 g; hardener=3 g"},
    "pour": {"share": "40", "belly_up": "yes"},
    "sheet": {"paper": "letter"},
}


def words(name, **given):
    return FORMS[name].words(given, "lure.toml", "/x/lure.log.toml", "us")


def finished(client, name, **given):
    """The answer to a form, waited for."""
    study, status = ask(client, "study", form=name, given=given)
    end = time.monotonic() + 120
    while status == 200 and study["running"] and time.monotonic() < end:
        time.sleep(0.1)
        study, status = ask(client, "study", number=study["number"])
    assert status == 200, study
    return study


def changes(said):
    """The proposals in an answer, in their order."""
    own = [block for block in said if block["type"] == "change"]
    return own + [found for block in said for found in changes(block.get("blocks", []))]


def test_what_a_command_remarks_is_told_in_the_words_of_its_form():
    remark = 'pour: how much? Write --weight "4 g" or --share 60, percent of the cavity; one of them'
    said = 'how much? Write weight "4 g" or share 60, percent of the cavity; one of them'
    assert FORMS["pour"].in_its_words(remark) == said
    assert FORMS["pour"].in_its_words("pour: --weights is none") == "--weights is none"
    assert FORMS["mix"].in_its_words("use --by-volume or --scale") == "use by volume or scale"


@pytest.mark.parametrize("name", FORMS)
def test_the_words_of_every_form_are_a_command_line(name):
    args = parser().parse_args(words(name, **FILLED.get(name, {})))
    assert args.units == "us"
    for key, value in FILLED.get(name, {}).items():
        if name not in ("thing", "reading"):
            assert getattr(args, key), (key, value)


@pytest.mark.parametrize("name", FORMS)
def test_every_form_says_what_it_does_and_names_each_thing_to_fill_in(name):
    form = FORMS[name]
    assert form.title
    assert form.does[0].isupper()
    every = [*form.inputs, *(one for inputs in form.variants.values() for one in inputs)]
    assert all(one.label for one in every)
    assert all(" --" not in one.help and "given again" not in one.help for one in every)


def test_a_word_that_is_filled_in_can_be_no_option_and_no_other_command():
    with pytest.raises(FormError, match="not with a dash"):
        words("explain", observed="--report=/tmp/x.html")
    assert words("remedy", want="--output=/tmp/x.toml")[-2:] == ["--want=--output=/tmp/x.toml", "--units=us"]
    with pytest.raises(FormError, match="Choose one of"):
        words("reading", kind="thing; rm")
    with pytest.raises(FormError, match="choose one of a4, letter"):
        words("sheet", paper="../a4")
    with pytest.raises(FormError, match="too long"):
        words("remedy", want="x" * 401)
    with pytest.raises(FormError, match="left open"):
        words("remedy", want='"floats')


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("sank; ran", ["sank", "ran"]),
        ("rolled over at 0.6 m/s from nose", ["rolled over at 0.6 m/s from nose"]),
        ('"sank" "landed tail first"', ["sank", "landed tail first"]),
        ("resin=1@epoxy hardener=1 g", ["resin=1@epoxy", "hardener=1 g"]),
        ("  ", []),
    ],
)
def test_several_are_told_in_one_field(text, found):
    assert Input("a", "a", many=True).words(text) == found


def test_without_parts_the_mix_is_that_of_the_design():
    assert "--file=lure.toml" in words("mix", part=" ")
    assert "--file=lure.toml" not in words("mix", part="resin=1")


def test_a_form_is_answered_in_the_page_model_and_leaves_nothing_behind(client, lure):
    study = finished(client, "reading", **FILLED["reading"])
    (first,) = study["said"][0]["blocks"]
    assert first == {"type": "paragraph", "text": "The cavity holds 14.025 +- 0.041 mL.", "tone": "head"}
    assert not study["failed"]
    assert changes(study["said"]) == []
    assert [file.name for file in lure.parent.iterdir()] == ["lure.toml"]


def test_what_cannot_be_answered_is_said_in_the_words_of_the_command_line(client):
    study = finished(client, "pour", share="40")
    assert study["failed"]
    assert study["remarks"][0].startswith("lure.toml: there is no hollow body")


def test_a_test_is_written_into_the_designs_own_log_and_the_design_is_left_alone(client, lure):
    before = lure.read_text(encoding="utf-8")
    ask(client, "edit", changes={"plate.lip.angle": "25 deg"}, revision=0)
    study = finished(client, "log", said="floats", water="14 C", note="off the jetty")
    log = lure.with_name("lure.log.toml").read_text(encoding="utf-8")
    assert 'said = "floats"' in log
    assert 'note = "off the jetty"' in log
    assert str(lure.parent) in study["said"][0]["text"]
    assert lure.read_text(encoding="utf-8") == before


def test_a_proposal_is_shown_as_a_change_tried_and_put_back(client):
    text = ask(client, "state")[0]["text"]
    study = finished(client, "remedy", want="floats with 4 g to spare", allow="ballast,hooks")
    proposals = changes(study["said"])
    assert len(proposals) >= 2
    tried = set()
    for block in proposals:
        assert [line[0] for line in block["lines"]].count("+") >= 1
        state, status = ask(client, "take", number=study["number"], proposal=block["proposal"])
        assert status == 200
        assert read(state["text"], "lure") != read(text, "lure")
        assert all(line[1:] in state["text"].splitlines() for line in block["lines"] if line[0] == "+")
        assert ask(client, "take", number=study["number"], proposal=0)[1] == 409  # one at a time
        assert ask(client, "step", revision=state["revision"])[0]["text"] == text
        tried.add(state["text"])
    assert len(tried) == len(proposals)
    assert ask(client, "take", number=study["number"], proposal=len(proposals))[1] == 404


def test_a_sheet_is_handed_out_and_nothing_else_is_and_a_report_can_ask_nothing(page, client):
    study = finished(client, "sheet")
    response = client.get(f"/{KEY}/made/{study['number']}/{study['made']}")
    assert response.content.startswith(b"%PDF")
    assert response.headers["content-type"] == "application/pdf"
    assert client.get(f"/{KEY}/made/{study['number']}/lure.toml").status_code == 404
    assert client.get(f"/{KEY}/made/99/sheet.pdf").status_code == 404
    page.desk.studies.find(study["number"]).form = FORMS["report"]
    policy = client.get(f"/{KEY}/made/{study['number']}/report.html").headers["content-security-policy"]
    assert policy.startswith("sandbox allow-scripts")
    assert "allow-same-origin" not in policy
    assert "default-src 'none'" in policy


def test_a_study_that_is_stopped_ends_and_too_many_at_once_are_refused(page, client):
    started = [ask(client, "study", form="tolerance")[0]["number"] for _ in range(4)]
    answer, status = ask(client, "study", form="tolerance")
    assert status == 429
    assert "stop one first" in answer["message"]
    page.desk.studies.stop()
    end = time.monotonic() + 60
    while time.monotonic() < end:
        found = [ask(client, "study", number=number)[0] for number in started]
        if not any(study["running"] for study in found):
            break
        time.sleep(0.1)
    assert all(study["stopped"] for study in found)


def test_a_mesh_beside_the_design_is_found(client, lure):
    bodies = SCENARIOS.parent / "docs" / "how-to" / "bodies"
    for name in ("printed.toml", "printed.stl"):
        (lure.parent / name).write_bytes((bodies / name).read_bytes())
    ask(client, "begin", kind="file", name="printed.toml")
    study = finished(client, "sheet")
    assert study["made"] == "sheet.pdf", study
