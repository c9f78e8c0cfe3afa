"""`measure`, `mix`, `pour`, `water` and `materials` on the command line."""

import json
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.cli import bench, main
from sim.cli.bench import KINDS, kind_of

FILE = """name = "Bench Bottle"
[body.main]
length = "60 mm"
width = "40 mm"
height = "40 mm"
weight = "14 g"
cavity = "20 mL"
material = "abs"
fill = "light"
[mix.light]
parts = [
    { name = "resin", parts = 1, density = "1.10 g/cm3" },
    { name = "hardener", parts = 1, density = "1.00 g/cm3" },
    { name = "spheres", percent = 12, density = "0.15 g/cm3" },
]
waste = 20
scale = "0.05 g"
[tie_on.nose]
"""


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "bottle.toml"
    path.write_text(FILE, encoding="utf-8")
    return str(path)


def said(capsys, *words: str) -> str:
    assert main(list(words)) == 0
    out = capsys.readouterr()
    assert out.err == ""
    return " ".join(out.out.split())


def data(capsys, *words: str) -> dict:
    assert main([*words, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def complaint(capsys, *words: str) -> str:
    assert main(list(words)) == 2
    out = capsys.readouterr()
    assert out.out == ""
    return out.err


def test_every_kind_explains_itself_and_its_example_works(capsys):
    listed = said(capsys, "measure")
    for name in KINDS:
        kind = kind_of(name)
        assert name in listed
        page = said(capsys, "measure", name)
        assert all(key in page for key in kind.model_fields)
        import shlex

        assert said(capsys, "measure", name, *shlex.split(kind.example))
        results = data(capsys, "measure", name, *shlex.split(kind.example))["results"]
        assert results
        assert all(value is not None for value in results.values())


def test_a_measurement_is_told_with_its_doubt_and_its_line_for_the_file(capsys):
    page = said(capsys, "measure", "cavity", "full=31.4 g", "empty=17.4 g", "temperature=21 C")
    assert page.startswith("The cavity holds 14.028 +- 0.041 mL.")
    assert 'In the design file: cavity = "14.028 +- 0.041 mL"' in page
    us = said(capsys, "measure", "cavity", "full=31.4 g", "empty=17.4 g", "--units", "us")
    assert us.startswith("The cavity holds 0.474 fl oz +- 0.0014 fl oz.")


def test_json_carries_units_deviations_and_ends(capsys):
    told = data(capsys, "measure", "scrap", "sank=fresh water", "floated=60 g/L")
    assert told["results"]["density_low_kg_m3"] == pytest.approx(998.2, abs=0.1)
    assert told["results"]["density_high_kg_m3"] == pytest.approx(1038.9, abs=0.5)
    assert told["results"]["density_sd_kg_m3"] == pytest.approx((1038.9 - 998.2) / 12**0.5, abs=0.2)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["cavit"], "there is no measurement called 'cavit'. Did you mean 'cavity'?"),
        (["cavity", "ful=3 g"], 'measure cavity: ful: there is no such reading; did you mean "full"?'),
        (["cavity", "full"], '"full" is no reading; write key=value'),
        (["cavity", "full=3 g", "empty=9 g"], "the two were probably swapped"),
        (["cavity", "full=-3 g", "empty=9 g"], 'measure cavity: full: "-3 g" is negative'),
        (["cavity", "full=3", "empty=9 g"], 'a mass needs its unit; write "3 g"'),
        (["cavity", "full=3 g", "full=4 g", "empty=2 g"], "measure cavity: full:"),
        (["bulk", "weight=12 g", "count=many"], "this must be a whole number above zero"),
        (["cup"], None),
        (["tub", "nose_depth=9 mm"], "tail_depth: this is missing; write for example tail_depth="),
        (
            ["tub", "nose_depth=9 mm", "tail_depth=99 mm", "apart=10 mm"],
            "their depths cannot differ by 90.0 mm",
        ),
        (["hardware", "kind=anchor"], "kind: this must be"),
        (["compare", "one=3 g", "other=4 mL"], "the values must be two of one kind"),
        (["density", "air=5 g", "hung=4.9999 g"], "heavier than any metal"),
        (["scrap", "sank=fresh water", "material=unobtainium"], 'there is no material "unobtainium"'),
    ],
)
def test_bad_readings_get_one_sentence_and_status_2(capsys, words, says):
    if says is None:
        assert "Reading" in said(capsys, "measure", *words)
    else:
        text = complaint(capsys, "measure", *words)
        assert says in text
        assert "Traceback" not in text


@settings(max_examples=150)
@given(
    kind=st.sampled_from(sorted(KINDS)),
    words=st.lists(st.tuples(st.text(max_size=8), st.text(max_size=12)).map("=".join), max_size=4),
    data=st.data(),
)
def test_any_words_end_in_a_sentence(kind, words, data):
    import io
    from contextlib import redirect_stderr, redirect_stdout

    keys = list(kind_of(kind).model_fields)
    values = st.sampled_from(
        ["1 g", "-1 g", "0 g", "5 mL", "9 mm", "nan g", "1e99 g", "20 C", "x", "", "1/0 oz"]
    )
    known = st.tuples(st.sampled_from(keys), values).map("=".join)
    words = [*words, *data.draw(st.lists(known, max_size=5))]
    words = [word for word in words if not word.startswith("-")]
    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
        assert main(["measure", kind, *words]) in (0, 2)


def test_a_mix_for_several_bodies_adds_up_and_waste_is_in(capsys):
    told = data(capsys, "mix", "a=1", "b=1", "spheres=10%", "--density", "0.6 g/mL", "--fill", "12 mL",
                "--count", "3", "--waste", "15")["mix"]  # fmt: skip
    assert told["needed_g"] == pytest.approx(3 * 12 * 0.6 * 1.15)
    parts = sum(Decimal(str(part["weight_g"])) for part in told["parts"])
    assert parts == Decimal(str(told["total_g"])) == Decimal("24.9")


def test_a_mix_is_weighed_in_ounces_on_a_scale_that_shows_them(capsys):
    asked = ["mix", "resin=1", "hardener=1", "--fill", "12 mL", "--density", "0.6 g/mL", "--units", "us"]
    assert main(asked) == 0
    out = capsys.readouterr().out
    assert out.startswith("Weigh out 0.280 oz, which fills 0.45 fl oz.")
    assert "resin      0.140" in out
    assert main([*asked, "--scale", "0.01 oz"]) == 0
    assert capsys.readouterr().out.startswith("Weigh out 0.28 oz, which fills 0.45 fl oz.")


def test_a_mix_of_the_file_fills_the_files_cavity(capsys, file):
    told = data(capsys, "mix", "--file", file)["mix"]
    density = 2.24 / (1 / 1100 + 1 / 1000 + 0.24 / 150)
    assert told["density_kg_m3"] == pytest.approx(density)
    assert told["needed_g"] == pytest.approx(20e-6 * density * 1.2 * 1e3)
    assert sum(Decimal(str(p["weight_g"])) for p in told["parts"]) % Decimal("0.05") == 0
    page = said(capsys, "mix", "--file", file, "--poured", "resin=9.5g")
    assert "resin 9.50 9.50 0.00 +0.0" in page
    assert "gloves" in page
    assert "dust mask" in page


def test_too_much_is_told_as_such_and_a_plus_is_no_total(capsys):
    asked = ["mix", "resin=1", "hardener=1", "--weight", "9 g"]
    over = data(capsys, *asked, "--over", "resin=0.4g")["mix"]
    total = data(capsys, *asked, "--poured", "resin=4.9g")["mix"]
    assert over == total
    assert [part["weight_g"] for part in over["parts"]] == [4.9, 4.9]
    for flag in ("--poured", "--over"):
        assert main([*asked, flag, "resin=+0.4g"]) == 2
        assert "--over resin=0.4g for what is more than was to go in" in " ".join(
            capsys.readouterr().err.split()
        )


def test_a_mix_for_a_file_leaves_out_what_lies_in_its_cavity(capsys, file):
    bare = data(capsys, "mix", "--file", file)["mix"]["needed_g"]
    text = Path(file).read_text(encoding="utf-8")
    lead = '\n[ballast.slug]\nat = { back = "30 mm" }\nweight = "11.34 g"\nplace = "cavity"\ndensity = "11.34 g/cm3"\n'
    Path(file).write_text(text + lead, encoding="utf-8")
    assert data(capsys, "mix", "--file", file)["mix"]["needed_g"] == pytest.approx(
        bare * 19.0 / 20.0, rel=1e-9
    )


def test_foam_weighs_its_liquid_over_its_rise(capsys):
    told = data(
        capsys, "mix", "a=1@1.1g/cm3", "b=1@1.2g/cm3", "--rise", "8", "--fill", "400 mL", "--waste", "0"
    )["mix"]
    assert told["density_kg_m3"] == pytest.approx(2 / (1 / 1100 + 1 / 1200) / 8)
    assert told["total_g"] == pytest.approx(400e-6 * told["density_kg_m3"] * 1e3, abs=0.1)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ([], "mix: say what goes in"),
        (["a"], '"a" is no part'),
        (["a=one", "--weight", "9 g"], 'a = "one" is no number'),
        (["a=-1", "--weight", "9 g"], "must be more than zero"),
        (["a=1", "a=2", "--weight", "9 g"], "two parts have the same name"),
        (["a=1", "b=1"], "how much?"),
        (["a=1", "--fill", "9 mL"], "the density of the mix is not known"),
        (["a=1@soup", "--fill", "9 mL"], "does not start with a number"),
        (["a=1", "b=1", "--weight", "9 g", "--poured", "c=2g"], "there is no part 'c' in this mix"),
        (["a=1", "b=1", "--weight", "9 g", "--poured", "a=-2g"], "no weight that a cup can hold"),
        (["a=1", "b=1", "--weight", "9 g", "--poured", "a=nang"], "--poured"),
        (["a=1", "b=1%", "--weight", "3 g"], "mix at least 10.1 g in all"),
        (["a=1", "--weight", "9 g", "--rise", "8"], "--rise needs the density of the liquid"),
        (
            ["a=1", "--fill", "9 mL", "--count", "0", "--density", "1 g/mL"],
            "--count 0: write a whole number from 1",
        ),
        (["a=1", "--total", "9 g"], "--total is called --weight now"),
        (["a=1", "b=1", "--by-volume", "--weight", "9 g"], "--by-volume needs the true density"),
        (["--file", "nowhere.toml"], "there is no such file"),
    ],
)
def test_mixes_that_cannot_be_get_one_sentence_and_status_2(capsys, words, says):
    assert says in complaint(capsys, "mix", *words)


def test_a_pour_tells_where_it_balances(capsys, file):
    page = said(capsys, "pour", file, "--share", "40", "--raised", "20 deg")
    assert page.startswith("Bench Bottle The lure then balances ")
    assert 'fill_weight = "' in page
    told = data(capsys, "pour", file, "--weight", "4 g")["pour"]
    assert told["fill_g"] == pytest.approx(4.0)
    assert "does not go into a cavity" in complaint(capsys, "pour", file, "--weight", "400 g")
    assert "one of them" in complaint(capsys, "pour", file)
    assert "no body of that name" in complaint(capsys, "pour", file, "--share", "4", "--body", "x")
    assert "write percent of the cavity" in complaint(capsys, "pour", file, "--share", "140")


def test_water_gives_a_table_or_a_bath(capsys, file):
    page = said(capsys, "water", file, "--temperature", "10 C", "--temperature", "25 C")
    assert "Margin in g: + rises, - sinks." in page
    told = data(capsys, "water", file)["water"]
    assert [column["salinity_g_kg"] for column in told["columns"]] == [0, 5, 15, 35]
    bath = said(capsys, "water", "--brine", "1.05 g/cm3")
    assert bath.startswith("Stir 77.3 g of table salt into one litre of fresh water of 20 C")
    assert "not 1.500 g/cm3" in complaint(capsys, "water", "--brine", "1.5 g/cm3")
    assert "one of them" in complaint(capsys, "water")
    assert "hold from freezing to 40 C" in complaint(capsys, "water", file, "--temperature", "90 C")


def test_materials_are_listed_found_and_explained(capsys):
    everything = said(capsys, "materials")
    assert everything.startswith("Wood ")
    assert "tungsten putty" in everything
    lead = said(capsys, "materials", "lead")
    assert lead.startswith("lead: 11.340 g/cm3, usually 11.300 to 11.350.")
    assert "Metals Handbook" in lead
    assert "How sure: confirmed" in lead
    assert "western redcedar" in said(capsys, "materials", "redcedar")
    assert "Did you mean 'balsa'?" in complaint(capsys, "materials", "blasa")
    assert main(["materials", "lead", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["density"] == 11340


def test_the_bench_needs_no_array_library_to_measure():
    code = (
        "import sys; from sim.cli import main; main(['measure', 'bulk', 'weight=12.4 g', 'count=10', '--json']); "
        "print([m for m in ('numpy', 'scipy', 'numba', 'matplotlib') if m in sys.modules])"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip().endswith("[]")


@pytest.mark.parametrize("kind", sorted(bench.IN_A_FILE))
def test_a_kind_goes_by_its_key_in_a_file_too(kind, capsys):
    assert main(["measure", bench.IN_A_FILE[kind], "--json"]) == 0
    by_key = capsys.readouterr().out
    assert main(["measure", kind, "--json"]) == 0
    assert capsys.readouterr().out == by_key
    assert main(["measure", kind]) == 0
    assert f"called {bench.IN_A_FILE[kind]};" in " ".join(capsys.readouterr().out.split())
