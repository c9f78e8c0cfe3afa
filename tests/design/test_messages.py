"""What is said to a maker whose file cannot be used: file, line, key, value, and a way out."""

# ruff: noqa: E501  one case a line: the tables are read side by side

import pytest

from sim.design.load import DesignError, read, warnings
from tests.in_words import in_words

GOOD = """\
name = "Lure"
[body.main]
length = "70 mm"
width = "18 mm"
height = "22 mm"
material = "cedar"
[plate.lip]
role = "lip"
root = { back = "6 mm", up = "-6 mm" }
length = "22 mm"
width = "20 mm"
[hook.belly]
at = { back = "28 mm", up = "-11 mm" }
weight = "1.3 g"
[ballast.keel]
at = { back = "31 mm", up = "-7 mm" }
weight = "2.5 g"
[tie_on.nose]
at = { back = "0 mm" }
"""


def said(text):
    """All problems of a text as they are printed."""
    with pytest.raises(DesignError) as refused:
        read(text, "lure.toml")
    assert str(refused.value) == "\n\n".join(str(problem) for problem in refused.value.problems)
    return str(refused.value).split("\n\n")


def test_the_file_that_these_tests_spoil_is_good():
    assert warnings(read(GOOD, "lure.toml")) == []


# what is changed in the good file, and the one sentence it gives
SINGLE_VALUES = [
    ('width = "20 mm"', 'widht = "20 mm"', '11: plate.lip.widht = "20 mm": there is no key "widht" in a plate; did you mean "width"?'),
    ('width = "20 mm"\n', "", '7: plate.lip.width: this is missing; write for example width = "20 mm"'),
    ('role = "lip"\n', "", '7: plate.lip.role: this is missing; write for example role = "lip"'),
    ('at = { back = "31 mm", up = "-7 mm" }\n', "", '15: ballast.keel.at: this is missing; write for example at = { back = "31 mm", up = "-9 mm" }'),
    ('name = "Lure"\n', "", 'name: this is missing; write for example name = "My lure"'),
    ('name = "Lure"', 'name = ""', '1: name = "": this must not be empty; write a name in quotes'),
    ('name = "Lure"', "name = 7", '1: name = 7: this must be text in quotes, as in "text"'),
    ('role = "lip"', 'role = "lpi"', '8: plate.lip.role = "lpi": did you mean "lip"? It can be "lip", "fin", "tail", "blade" or "spoon"'),
    ('role = "lip"', 'role = "wheel"', '8: plate.lip.role = "wheel": this must be "lip", "fin", "tail", "blade" or "spoon"'),
    ('weight = "2.5 g"', "weight = 2.5", '17: ballast.keel.weight = 2.5: a mass needs its unit; write "2.5 g" or "2.5 oz"'),
    ('weight = "2.5 g"', 'weight = "2.5"', '17: ballast.keel.weight = "2.5": a mass needs its unit; write "2.5 g" or "2.5 oz"'),
    ('weight = "2.5 g"', 'weight = "2.5 mm"', '17: ballast.keel.weight = "2.5 mm": "mm" is a unit of length, but a mass is needed here, such as "12 g" or "12 oz"'),
    ('weight = "2.5 g"', "weight = nan", '17: ballast.keel.weight = nan: this is not a number that can be used; write a mass, such as "12 g" or "12 oz"'),
    ('weight = "2.5 g"', 'weight = "nan g"', '17: ballast.keel.weight = "nan g": "nan g" does not start with a number; write a mass, such as "12 g" or "12 oz"'),
    ('weight = "2.5 g"', 'weight = "1e999 g"', '17: ballast.keel.weight = "1e999 g": this number is too large to work with; write a mass, such as "12 g" or "12 oz"'),
    ('weight = "2.5 g"', 'weight = "2500 kg"', '17: ballast.keel.weight = "2500 kg": "2500 kg" is far more than it can be here; check the unit and the decimal mark'),
    ('weight = "2.5 g"', 'weight = "2.5 g +- 9e9 g"', '17: ballast.keel.weight = "2.5 g +- 9e9 g": "2.5 g +- 9e9 g" has far too much after its "+-"; check the unit and the decimal mark'),
    ('weight = "2.5 g"', 'weight = "-2.5 g"', '17: ballast.keel.weight = "-2.5 g": "-2.5 g" is negative; write it as a positive number'),
    ('weight = "2.5 g"', 'weight = "0 g"', '17: ballast.keel.weight = "0 g": "0 g" must be more than zero; if the scale shows nothing, weigh ten alike together and divide by ten, or leave the part out'),
    ('width = "18 mm"', 'width = "0 mm"', '4: body.main.width = "0 mm": "0 mm" must be more than zero'),
    ('width = "18 mm"', 'width = "-18 mm"', '4: body.main.width = "-18 mm": "-18 mm" is negative; write it as a positive number'),
    ('width = "18 mm"', 'width = "18 m"', '4: body.main.width = "18 m": "18 m" is far more than it can be here; check the unit and the decimal mark'),
    ('width = "18 mm"', 'width = "1e-9 mm"', '4: body.main.width = "1e-9 mm": "1e-9 mm" is far less than it can be here; check the unit and the decimal mark'),
    ('back = "28 mm", up', 'back = "28 mm", upp', '13: hook.belly.at.upp = "-11 mm": there is no key "upp" in a place; did you mean "up"?'),
    ('at = { back = "28 mm", up = "-11 mm" }', 'back = "28 mm"', '13: hook.belly.back = "28 mm": there is no key "back" in a hook or fitting; write the place as one: at = { back = "31 mm", up = "-9 mm" }'),
    ('at = { back = "28 mm", up = "-11 mm" }', 'at = "28 mm"', '13: hook.belly.at = "28 mm": a place is written at = { back = "31 mm", up = "-9 mm" }'),
    ("[hook.belly]", "[hook.belly]\nzzz = 1", '13: hook.belly.zzz = 1: there is no key "zzz" in a hook or fitting; its keys are at, weight, bulk, estimate, count, size, mirrored, material, density'),
    ("[hook.belly]", '[hook."belly hook"]', '12: hook.belly hook: "belly hook" cannot be a name; use letters, digits, - and _, starting with a letter, 40 at most, as in [body.main]'),
    ("[hook.belly]", "[hook.belly]\nmirrored = 3.5", "13: hook.belly.mirrored = 3.5: this must be true or false, without quotes"),
    ("[hook.belly]", "[[hook.belly]]", "12: hook.belly: every hook has a name of its own; write [hook.main], with its keys below"),
    ('material = "cedar"', 'material = "cedar"\nexponent = "two"', '7: body.main.exponent = "two": this must be a plain number without quotes or a unit, as in 2.5'),
    ('material = "cedar"', 'material = "cedar"\nexponent = 90', "7: body.main.exponent = 90: this must be 50 or less"),
    ('material = "cedar"', 'material = "cedar"\nexponent = 0.5', "7: body.main.exponent = 0.5: this must be 1 or more"),
    ('material = "cedar"', 'material = "cedar"\nexponent = nan', "7: body.main.exponent = nan: this must be an ordinary number without a unit, as in 2.5"),
    ('name = "Lure"', 'name = "Lure"\nwater = "salt"', '2: water = "salt": this must be a table; write [water] on a line of its own, with its keys below'),
    ('name = "Lure"', 'name = "Lure"\nwire = 3', "2: wire = 3: every wire has a name of its own; write [wire.main], with its keys below"),
    ("[tie_on.nose]", '[retrieve]\nspeeds = ["0 m/s"]\n[tie_on.nose]', '19: retrieve.speeds.0 = "0 m/s": "0 m/s" must be more than zero'),
    ("[tie_on.nose]", "[retrieve]\nspeeds = []\n[tie_on.nose]", '19: retrieve.speeds: this list is empty; write at least one, as in speeds = ["0.4 m/s", "0.8 m/s"]'),
    ("[tie_on.nose]", '[retrieve]\nspeeds = "1 m/s"\n[tie_on.nose]', '19: retrieve.speeds = "1 m/s": this must be a list in square brackets, as in speeds = ["0.4 m/s", "0.8 m/s"]'),
    ("[tie_on.nose]", f"[retrieve]\nspeeds = {['1 m/s'] * 13}\n[tie_on.nose]", "19: retrieve.speeds: this list has more than 12 items; leave some out"),
    ("[tie_on.nose]", '[cast]\nspeed = "0 m/s"\n[tie_on.nose]', '19: cast.speed = "0 m/s": "0 m/s" must be more than zero'),
    ("[tie_on.nose]", '[cast]\nangle = "400 deg"\n[tie_on.nose]', '19: cast.angle = "400 deg": "400 deg" is far more than it can be here; check the unit and the decimal mark'),
    ("[tie_on.nose]", '[tie-on.nose]', '18: tie-on: there is no key "tie-on" in a design; did you mean "tie_on"?'),
]  # fmt: skip


@pytest.mark.parametrize(("good", "bad", "sentence"), SINGLE_VALUES, ids=[row[2] for row in SINGLE_VALUES])
def test_a_bad_value_is_named_with_its_line_and_a_way_out(good, bad, sentence):
    assert good in GOOD
    separator = ":" if sentence[0].isdigit() else ": "
    assert said(GOOD.replace(good, bad, 1)) == [f"lure.toml{separator}{sentence}"]


BODY = 'length = "70 mm"\nwidth = "18 mm"\nheight = "22 mm"\nmaterial = "cedar"\n'
FLAT = '{ back = "0 mm", width = "0 mm", height = "4 mm" }'
FULL = '{ back = "30 mm", width = "14 mm", height = "18 mm" }'


def water(text):
    return ("[tie_on.nose]", f"[water]\n{text}\n[tie_on.nose]")


def body(text):
    return (BODY, text + "\n")


TOGETHER = [
    (*water('temperature = "-1 C"'), '19: water.temperature = "-1 C": fresh water freezes at 0 C; write for example "18 C"'),
    (*water('temperature = "-4 C"\nkind = "salt"'), '19: water.temperature = "-4 C": water with 35 g/kg of salt freezes at -1.9 C; write for example "18 C"'),
    (*water('temperature = "-1 C"\nkind = "salt"'), None),
    (*water('temperature = "64 C"'), '19: water.temperature = "64 C": the laws for water hold up to 40 C; write for example "18 C"'),
    (*water('temperature = "212 F"'), '19: water.temperature = "212 F": this water boils; write for example "18 C"'),
    (*water('salinity = "60 g/kg"'), '19: water.salinity = "60 g/kg": the laws for water hold up to 42 g/kg; the sea has about 35: write "35 g/kg"'),
    ('width = "18 mm"\n', "", '2: body.main: an ellipsoid needs width; write for example width = "18 mm"'),
    ('length = "70 mm"\nwidth = "18 mm"\n', "", '2: body.main: an ellipsoid needs length and width; write for example length = "70 mm", width = "18 mm"'),
    (*body(f'shape = "stations"\nmaterial = "cedar"\nstations = [{FULL}]'), '5: body.main.stations: there are 1 stations and it takes two or more, nose to tail; write for example stations = [{ back = "0 mm", width = "0 mm", height = "0 mm" }, { back = "70 mm", width = "4 mm", height = "5 mm" }]'),
    (*body(f'shape = "stations"\nmaterial = "cedar"\nstations = [\n{FULL},\n{FLAT},\n]'), '7: body.main.stations.1.back = "0 mm": this is not behind the station before it, at "30 mm"; list stations from nose to tail'),
    (*body(f'shape = "stations"\nmaterial = "cedar"\nstations = [{FULL}, {FULL}]'), '5: body.main.stations.1.back = "30 mm": this is not behind the station before it, at "30 mm"; list stations from nose to tail'),
    (*body(f'shape = "stations"\nmaterial = "cedar"\nstations = [{FLAT}, {FLAT.replace("0 mm", "9 mm", 1)}]'), '5: body.main.stations: no station has both a width and a height, so there is nothing inside; write them, as in width = "14 mm", height = "18 mm"'),
    (*body(f'material = "cedar"\nstations = [{FLAT}, {FULL}]'), '4: body.main.stations: an ellipsoid has no stations; to use them write shape = "stations"'),
    (*body(f'{BODY}stations = [{FLAT}, {FULL}]'), '7: body.main.stations: an ellipsoid has no stations; to use them write shape = "stations" and leave out length, width and height, or else leave them out'),
    (*body(f'shape = "stations"\nmaterial = "cedar"\nlength = "7 cm"\nstations = [{FLAT}, {FULL}]'), '5: body.main.length = "7 cm": a body of stations takes its length from them; leave this line out'),
    ('material = "cedar"\n', "", '2: body.main: it has no weight, no density and no material; write what is known, as in weight = "5.2 g" or material = "cedar"'),
    ('"cedar"', '"ceder"', '6: body.main.material = "ceder": there is no such material in the list; did you mean "cedar"? Otherwise give its density = "0.62 g/cm3"'),
    ('"cedar"', '"xyzzy"', '6: body.main.material = "xyzzy": there is no such material in the list; to use a material of your own give its density = "0.62 g/cm3"'),
    ('"cedar"', '"air"', '6: body.main.material = "air": only a hollow can be filled with it; write what the part is made of'),
    ('weight = "1.3 g"', 'weight = "1.3 g"\nmaterial = "stel"', '15: hook.belly.material = "stel": there is no such material in the list; did you mean "steel"? Otherwise give its density = "0.62 g/cm3"'),
    (*body(BODY + 'wall = "1 mm"\nfill = "fome"'), '8: body.main.fill = "fome": there is no such material in the list; did you mean "foam"? Otherwise give its fill_density = "0.62 g/cm3"'),
    (*body(BODY + 'fill = "foam"'), '7: body.main.fill = "foam": a solid body has nothing to fill; write its wall = "1.5 mm" or its cavity = "18 mL", or leave this line out'),
    (*body(BODY + 'fill_weight = "8.7 g"'), '7: body.main.fill_weight = "8.7 g": a solid body has nothing to fill; write its wall = "1.5 mm" or its cavity = "18 mL", or leave this line out'),
    (*body(BODY + 'wall = "9 mm"'), '7: body.main.wall = "9 mm": two such walls are as much as the whole body\'s 18.0 mm, so no hollow is left; write a thinner wall, or leave it out for a solid body'),
    (*body(BODY + 'cavity = "15 mL"'), '7: body.main.cavity = "15 mL": the outside, 14.5 mL by its sizes, is the hollow and the wall together, so the hollow must be smaller; check both, or dunk the body and write what it displaced'),
    (*body(BODY + 'cavity = "15 mL"\ndisplaced = "14 mL"'), '7: body.main.cavity = "15 mL": the outside, 14.0 mL as dunked, is the hollow and the wall together, so the hollow must be smaller; check both, or dunk the body and write what it displaced'),
    ("[tie_on.nose]", '[wire.leg]\nstart = { back = "3 mm" }\nend = { back = "3 mm" }\ndiameter = "1 mm"\n[tie_on.nose]', "18: wire.leg: it starts and ends at the same place; give its end another place than its start"),
    ("[tie_on.nose]", '[paint]\ndensity = "1.1 g/mL"\n[tie_on.nose]', '18: paint: it has neither a weight nor a thickness; write the gain on the scale, weight = "0.6 g", or thickness = "0.15 mm"'),
    ("[tie_on.nose]", '[line]\ndiameter = "0.28 cm"\n[tie_on.nose]', None),
    ("[tie_on.nose]", '[line]\ndiameter = "28 mm"\n[tie_on.nose]', '19: line.diameter = "28 mm": this is a rope, not a line; write for example "0.28 mm"'),
    ("[tie_on.nose]", '[cast]\nangle = "120 deg"\n[tie_on.nose]', '19: cast.angle = "120 deg": a cast leaves between 20 deg below level and 90 deg, straight up; write for example "40 deg"'),
    ("[tie_on.nose]", '[cast]\nangle = "-21 deg"\n[tie_on.nose]', '19: cast.angle = "-21 deg": a cast leaves between 20 deg below level and 90 deg, straight up; write for example "40 deg"'),
    ("[tie_on.nose]", '[cast]\nangle = "90 deg"\n[tie_on.nose]', None),
    ("[tie_on.nose]", '[measured]\nbalance = "90 mm"\n[tie_on.nose]', '19: measured.balance = "90 mm": the lure reaches from -16.0 mm to 70.0 mm behind the nose and can only balance in between; measure again from the tip of the nose'),
    ('weight = "2.5 g"', 'weight = "2.5 g"\nbody = "mian"', '18: ballast.keel.body = "mian": there is no body of that name; did you mean "main"?'),
    ('weight = "2.5 g"', 'weight = "2.5 g"\nbody = "x"', '18: ballast.keel.body = "x": there is no body of that name; the bodies are main'),
    ("[body.main]\n" + BODY, "", '10: ballast.keel: there is no body for it to sit in; write place = "outside"'),
    ('[tie_on.nose]\nat = { back = "0 mm" }\n', "", 'there is no point to tie the line to; write [tie_on.nose] and below it at = { back = "0 mm", up = "0 mm" }'),
    ("[tie_on.nose]", "".join(f'[fitting.f{k}]\nweight = "1 g"\n' for k in range(200)) + "[tie_on.nose]", "the lure has 205 parts; 200 is the most that can be worked with"),
]  # fmt: skip


@pytest.mark.parametrize(("good", "bad", "sentence"), TOGETHER, ids=[str(row[2]) for row in TOGETHER])
def test_values_that_cannot_be_true_together_are_named_with_a_way_out(good, bad, sentence):
    assert good in GOOD
    text = GOOD.replace(good, bad, 1)
    if sentence is None:
        read(text, "lure.toml")
        return
    separator = ":" if sentence[0].isdigit() else ": "
    assert said(text) == [f"lure.toml{separator}{sentence}"]


def test_a_lure_without_body_plate_and_wire_has_no_volume():
    assert said('name = "x"\n[tie_on.nose]\n') == [
        "lure.toml: the lure has no volume: it has no body, no plate and no wire; write [body.main] and below it "
        'length = "70 mm", width = "18 mm", height = "22 mm", material = "cedar"'
    ]


@pytest.mark.parametrize("part", ["body.main.material", "body.main.fill"])
def test_an_unknown_material_is_fine_with_its_own_density(part):
    more = {
        "body.main.material": 'density = "0.4 g/mL"',
        "body.main.fill": 'fill_density = "0.4 g/mL"\nwall = "1 mm"',
    }
    key = part.rpartition(".")[2]
    text = BODY.replace('material = "cedar"\n', "") + f'{key} = "my mix"\n{more[part]}\n'
    if key == "fill":
        text += 'material = "cedar"\n'
    read(GOOD.replace(BODY, text), "lure.toml")


SYNTAX = [
    ('width = "18 mm"', "width = 18 mm", '4: width = 18 mm: something follows the value; put a value with a unit in quotes, as in length = "70 mm", and inches as in "2 3/4 in"'),
    ('width = "18 mm"', 'width = "3/4""', '4: width = "3/4"": something follows the value; put a value with a unit in quotes, as in length = "70 mm", and inches as in "2 3/4 in"'),
    ('width = "18 mm"', "width = mm", '4: width = mm: there is no value that can be read; put a value with a unit in quotes, as in length = "70 mm"'),
    ('width = "18 mm"', "width =", '4: width =: there is no value that can be read; put a value with a unit in quotes, as in length = "70 mm"'),
    ('width = "18 mm"', 'width = "18 mm', '4: width = "18 mm: a quote that opens is not closed on this line; write as in length = "70 mm"'),
    ('width = "18 mm"', 'width "18 mm"', '4: width "18 mm": a line is a key, = and a value, as in width = "18 mm", or a heading such as [body.main]'),
    ('width = "18 mm"', "width", '4: width: a line is a key, = and a value, as in width = "18 mm", or a heading such as [body.main]'),
    ('width = "18 mm"', 'width = "18 mm"\nwidth = "19 mm"', '5: width = "19 mm": this key is given a second time; keep one of the two'),
    ("[hook.belly]", "[body.main]", "12: [body.main]: this table was begun before; put all its keys below one heading, or give it another name"),
    ("[hook.belly]", "[hook.belly", "12: [hook.belly: a heading ends with its bracket, as in [body.main]"),
    ("[hook.belly]", "[hook belly]", "12: [hook belly]: a heading ends with its bracket, as in [body.main]"),
    ('name = "Lure"', 'name = "C:\\lures"', '1: name = "C:\\lures": write a backslash in quotes twice, \\\\, or use single quotes around the text'),
    ('up = "-11 mm" }', 'up = "-11 mm"', '13: at = { back = "28 mm", up = "-11 mm": a bracket that opens is not closed, or a comma is missing between two items'),
    ("[tie_on.nose]", '[retrieve]\nspeeds = ["1 m/s" "2 m/s"]\n[tie_on.nose]', '19: speeds = ["1 m/s" "2 m/s"]: a bracket that opens is not closed, or a comma is missing between two items'),
    ("[tie_on.nose]", "a." * 30 + "a = 1\n[tie_on.nose]", "18: a key has more than 20 parts; no key here has so many"),
    ("[tie_on.nose]", "a = " + "[" * 3000 + "\n[tie_on.nose]", "18: brackets are nested too deeply; a design needs no more than three in each other"),
    ("[tie_on.nose]", "a = " + "9" * 9000 + "\n[tie_on.nose]", "18: a number has too many digits; write it shorter"),
]  # fmt: skip


@pytest.mark.parametrize(("good", "bad", "sentence"), SYNTAX, ids=[row[2] for row in SYNTAX])
def test_what_is_no_toml_is_named_by_its_line(good, bad, sentence):
    assert good in GOOD
    assert said(GOOD.replace(good, bad, 1)) == [f"lure.toml:{sentence}"]


def test_all_problems_of_a_file_come_in_one_go_in_the_order_of_the_file():
    text = """\
name = "Lure"
[body.main]
length = "70 mm"
width = 18
wall = "12 mm"
[body.head]
length = "30 mm"
width = "10 mm"
height = "10 mm"
fill = "foam"
[plate.lip]
role = "lip"
lenght = "22 mm"
[water]
depth = "-4 m"
temperature = "-3 C"
[ballast.keel]
at = { back = "31 mm" }
weight = "2.5 furlongs"
"""
    assert [line.split(": ", 2)[:2] for line in said(text)] == [
        ["lure.toml", "there is no point to tie the line to; write [tie_on.nose] and below it at = { back = \"0 mm\", up = \"0 mm\" }"],
        ["lure.toml:4", "body.main.width = 18"],
        ["lure.toml:6", "body.head"],
        ["lure.toml:10", 'body.head.fill = "foam"'],
        ["lure.toml:11", "plate.lip.width"],
        ["lure.toml:13", 'plate.lip.lenght = "22 mm"'],
        ["lure.toml:15", 'water.depth = "-4 m"'],
        ["lure.toml:16", 'water.temperature = "-3 C"'],
        ["lure.toml:19", 'ballast.keel.weight = "2.5 furlongs"'],
    ]  # fmt: skip


def test_a_part_that_cannot_be_read_is_not_called_missing():
    problems = said(GOOD.replace('length = "70 mm"', "length = 70"))
    assert len(problems) == 1
    problems = said(GOOD.replace("[tie_on.nose]\nat", "[tie_on.nose]\natt"))
    assert len(problems) == 1


def test_no_more_problems_are_spelt_out_than_can_be_read():
    problems = said(GOOD + "".join(f"zz{k} = 1\n" for k in range(300)))
    assert len(problems) == 51
    assert problems[-1] == "lure.toml: and 250 more problems; mend these first"


def test_long_values_and_control_characters_are_not_repeated_as_they_are():
    (problem,) = said(GOOD.replace('"cedar"', '"' + "x" * 500 + '"'))
    assert len(problem) < 300
    (problem,) = said(GOOD.replace('"18 mm"', '"\\u001b[31m18 mm"'))
    assert "\x1b" not in problem
    assert "\\x1b[31m" in problem


WARNINGS = [
    (
        'at = { back = "0 mm" }',
        'at = { back = "-60 mm" }',
        [
            "tie_on.nose is 44.0 mm away from everything else on a lure of 86.0 mm; check its place and its unit"
        ],
    ),
    ('at = { back = "0 mm" }', 'at = { back = "-30 mm" }', []),
    (
        "[tie_on.nose]",
        '[measured]\nweight = "3.5 g"\n[tie_on.nose]',
        [
            'measured.weight = "3.5 g" is less than the given weights of the parts, 3.80 g in all; the measured '
            "value is used: weigh the whole again, hooks and all"
        ],
    ),
    ("[tie_on.nose]", '[measured]\nweight = "3.5 +- 0.2 g"\n[tie_on.nose]', []),
    ("[tie_on.nose]", '[measured]\nweight = "12 g"\n[tie_on.nose]', []),
    (
        "[tie_on.nose]",
        '[retrieve]\nspeeds = ["1 cm/s", "1 m/s", "5 m/s"]\n[tie_on.nose]',
        [
            'retrieve.speeds: "1 cm/s" is slower than what the laws of drag and lift here were checked for, '
            "0.05 m/s to 4 m/s; take the answer as a hint",
            'retrieve.speeds: "5 m/s" is faster than what the laws of drag and lift here were checked for, '
            "0.05 m/s to 4 m/s; take the answer as a hint",
        ],
    ),
]


@pytest.mark.parametrize(("good", "bad", "sentences"), WARNINGS)
def test_what_is_legal_but_looks_like_a_slip_is_a_warning(good, bad, sentences):
    assert good in GOOD
    assert in_words(warnings(read(GOOD.replace(good, bad, 1), "lure.toml"))) == sentences


def test_the_two_of_a_mirrored_pair_both_count_in_the_weight():
    text = GOOD.replace('weight = "1.3 g"', 'weight = "1.3 g"\nmirrored = true')
    (warning,) = in_words(warnings(read(text + '[measured]\nweight = "4 g"\n', "lure.toml")))
    assert "5.10 g in all" in warning
