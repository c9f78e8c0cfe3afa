"""The shop sheet, measured on the page itself."""

from __future__ import annotations

import re
import zlib
from pathlib import Path

import numpy as np
import pytest

from sim.cli import main
from sim.design.load import load, read
from sim.lure import build
from sim.show.shop import as_pdf, as_svg, shop_sheet
from sim.show.shop.lists import cut_list, drill_list, marks, mix_rows, pieces, rod, shot
from sim.show.units import METRIC, US
from sim.trials.floating import rest

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
POINT = 25.4 / 72.0  # mm
HEAD = 'name = "Test"\n[tie_on.nose]\nat = { back = "0 mm" }\n'
OVAL = '[body.main]\nlength = "{0} mm"\nwidth = "16 mm"\nheight = "20 mm"\nmaterial = "cedar"\n'


def page(text: str, **options):
    design = read(text, "test.toml")
    lure = build(design)
    return shop_sheet(design, lure, rest(design, lure), **options)


def strokes(pdf: bytes) -> list[np.ndarray]:
    """Every path of the page as points (n, 2), mm."""
    streams = [
        zlib.decompress(s) for s in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.S) if s[:1] == b"x"
    ]
    content = max((s for s in streams if b" re\n" in s or b" l\n" in s or b" m\n" in s), key=len).decode(
        "latin-1"
    )
    out: list[np.ndarray] = []
    here: list[tuple[float, float]] = []
    for x, y, op in re.findall(r"(-?[\d.]+) (-?[\d.]+) ([ml])\n", content):
        if op == "m" and here:
            out.append(np.array(here) * POINT)
            here = []
        here.append((float(x), float(y)))
    return [*out, np.array(here) * POINT]


def drawn(svg: str, gid: str) -> list[np.ndarray]:
    """Points (n, 2) of the paths with an id, mm."""
    wide = float(re.search(r'width="([\d.]+)mm"', svg)[1])
    box = float(re.search(r'viewBox="0 0 ([\d.]+) ', svg)[1])
    out = []
    for group in re.findall(rf'<g id="{gid}">(.*?)</g>', svg, re.S):
        path = re.search(r' d="([^"]*)"', group)[1]
        out.append(np.array(re.findall(r"[ML] (-?[\d.]+) (-?[\d.]+)", path), dtype=float) * wide / box)
    return out


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_hundred_millimetres_are_a_hundred_millimetres_on_paper(paper: str) -> None:
    figure = page(HEAD + OVAL.format(70), paper=paper)
    pdf = as_pdf(figure)
    wide, tall = (float(v) * POINT for v in re.search(rb"/MediaBox \[ ?0 0 ([\d.]+) ([\d.]+)", pdf).groups())
    assert (wide, tall) == pytest.approx({"a4": (210.0, 297.0), "letter": (215.9, 279.4)}[paper], abs=0.01)
    bars = [
        s
        for s in strokes(pdf)
        if len(s) == 2 and abs(np.ptp(s[:, 0]) - 100.0) < 0.1 and np.ptp(s[:, 1]) < 1e-6
    ]
    assert len(bars) == 1
    svg = as_svg(figure)
    (bar,) = drawn(svg, "bar-100mm")
    assert np.ptp(bar[:, 0]) == pytest.approx(100.0, abs=0.01)


def test_the_outline_is_the_lures_own_size() -> None:
    svg = as_svg(page(HEAD + OVAL.format(73)))
    (side,), (top,) = drawn(svg, "outline-side"), drawn(svg, "outline-top")
    assert np.ptp(side, axis=0) == pytest.approx([73.0, 20.0], abs=0.1)
    assert np.ptp(top, axis=0) == pytest.approx([73.0, 16.0], abs=0.1)
    longest = max(strokes(as_pdf(page(HEAD + OVAL.format(73)))), key=len)
    assert np.ptp(longest[:, 0]) == pytest.approx(73.0, abs=0.1)


def test_the_waterline_stands_where_the_float_trial_has_it() -> None:
    design = read(HEAD + OVAL.format(70).replace('height = "20', 'height = "14'), "test.toml")
    lure = build(design)
    sits = rest(design, lure)
    svg = as_svg(shop_sheet(design, lure, sits))
    (line,), (side,) = drawn(svg, "waterline"), drawn(svg, "outline-side")
    under = side[:, 1].max() - line[:, 1].mean()  # level: the body is a plain oval
    assert np.ptp(line[:, 1]) < 0.2
    assert under == pytest.approx(sits.draught_mm, abs=0.2)


def test_a_long_lure_is_turned_and_a_longer_one_is_drawn_smaller_and_says_so() -> None:
    turned = page(HEAD + OVAL.format(230))
    assert turned.get_size_inches()[0] > turned.get_size_inches()[1]
    assert turned.get_label().endswith("drawn at 1:1")
    (side,) = drawn(as_svg(turned), "outline-side")
    assert np.ptp(side[:, 0]) == pytest.approx(230.0, abs=0.1)
    halved = page(HEAD + OVAL.format(330))
    assert halved.get_label().endswith("drawn at 1:2")
    (side,) = drawn(as_svg(halved), "outline-side")
    assert np.ptp(side[:, 0]) == pytest.approx(165.0, abs=0.1)
    words = " ".join(text.get_text() for text in halved.axes[0].texts)
    assert "NOT FULL SIZE" in words
    assert "multiply what you measure on it by 2" in words
    (bar,) = drawn(as_svg(halved), "bar-100mm")
    assert np.ptp(bar[:, 0]) == pytest.approx(100.0, abs=0.01)


def overlaps(figure) -> list[tuple[str, str]]:
    """Pairs of texts that lie over each other, and texts that leave the paper."""
    renderer = figure.canvas.get_renderer()
    texts = [t for t in figure.axes[0].texts if t.get_text().strip()]
    boxes = [(t.get_text(), t.get_window_extent(renderer)) for t in texts]
    width, height = figure.canvas.get_width_height()
    found = [(text, "the edge") for text, b in boxes if b.x0 < 0 or b.y0 < 0 or b.x1 > width or b.y1 > height]
    for k, (text, box) in enumerate(boxes):
        for other, there in boxes[k + 1 :]:
            across = min(box.x1, there.x1) - max(box.x0, there.x0)
            along = min(box.y1, there.y1) - max(box.y0, there.y0)
            if across > 0.5 and along > 0.25 * min(box.height, there.height):
                found.append((text, other))
    return found


LIMBS = "".join(
    f"""
[body.leg{k}]
length = "{18 + k} mm"
width = "4 mm"
height = "4 mm"
material = "abs"
angle = "-20 deg"
at = {{ back = "{12 + 6 * k} mm", left = "9 mm" }}
mirrored = true
[ballast.w{k}]
at = {{ back = "{16 + 6 * k} mm", left = "9 mm" }}
weight = "0.2 g"
body = "leg{k}"
mirrored = true
[wire.arm{k}]
start = {{ back = "{12 + 6 * k} mm", left = "8 mm" }}
end = {{ back = "{2 + 6 * k} mm", left = "{20 + 2 * k} mm", up = "6 mm" }}
diameter = "0.8 mm"
mirrored = true
[plate.fin{k}]
role = "fin"
root = {{ back = "{14 + 6 * k} mm", up = "8 mm" }}
length = "6 mm"
width = "5 mm"
"""
    for k in range(5)
)


@pytest.mark.parametrize("units", [METRIC, US], ids=["metric", "us"])
@pytest.mark.parametrize("path", SCENARIOS, ids=lambda p: p.stem)
def test_no_word_of_any_scenarios_sheet_is_cut_off_or_written_over(path: Path, units) -> None:
    design = load(path)
    lure = build(design)
    figure = shop_sheet(design, lure, rest(design, lure), "letter" if units is US else "a4", units)
    assert figure.get_label().endswith("drawn at 1:1")
    assert overlaps(figure) == []


def test_a_lure_of_many_limbs_fits_its_page_too() -> None:
    figure = page(HEAD + OVAL.format(70) + LIMBS)
    assert overlaps(figure) == []
    words = [text.get_text() for text in figure.axes[0].texts]
    assert any("w4" in w for w in words)


def test_the_lists_tell_sizes_that_weigh_what_they_should() -> None:
    text = (
        HEAD + OVAL.format(70) + '[ballast.keel]\nat = { back = "30 mm", up = "-5 mm" }\nweight = "2.5 g"\n'
    )
    design = read(text, "test.toml")
    lure = build(design)
    (cut,) = cut_list(design, METRIC)
    # 2.5 g of lead, 11.34 g/cm3: a ball of (6 V / pi)^(1/3) = 7.49 mm; a rod of 5 mm is 11.23 mm long
    assert cut.replace("\u00a0", " ") == (
        "A keel: 2.50 g of lead: a ball of 7.5 mm, or a rod of 5.0 mm, 11.2 mm long"
    )
    drill = next(drill_list(design, lure, METRIC)).replace("\u00a0", " ")
    # the body is 9.9 mm deep there: 4.9 mm below the weight's centre, and half a ball more
    # a rod of 5 mm, 11.2 mm long, goes in on end: half of it below the weight's centre
    form = r"A keel: drill 8 mm, from the belly, 8\.[4-9] mm deep; for the rod 5\.5 mm, 10\.[3-7] mm deep"
    assert re.fullmatch(form, drill)
    assert next(drill_list(design, lure, US)).startswith("A keel: drill 5/16 in")
    across, length = rod(2.5e-3 / 11340.0)
    assert np.pi / 4 * across**2 * length * 11340.0 == pytest.approx(2.5e-3)
    found = shot(3 * np.pi / 6 * (0.13 * 0.0254) ** 3)
    assert found is not None
    assert abs(found[0] * found[2] ** 3 / (3 * (0.13 * 0.0254) ** 3) - 1.0) < 0.05
    assert shot(1.0) is None


def test_a_hole_is_as_deep_as_the_body_it_is_drilled_into() -> None:
    leg = (
        '[body.leg]\nlength = "30 mm"\nwidth = "6 mm"\nheight = "6 mm"\nmaterial = "abs"\n'
        'at = { back = "20 mm", left = "4 mm", up = "2 mm" }\nmirrored = true\n'
        '[ballast.shot]\nat = { back = "35 mm", left = "4 mm", up = "1 mm" }\nweight = "0.2 g"\nbody = "leg"\n'
    )
    design = read(HEAD + OVAL.format(70) + leg, "test.toml")
    line = next(drill_list(design, build(design), METRIC)).replace("\u00a0", " ")
    # the leg's underside is 3 mm below its own middle, 2 mm below the ball's centre; the ball is 3.23 mm across
    # 0.2 g of lead are a rod of 2 mm, 5.61 mm long
    assert line == "A shot: drill 3.5 mm, from the belly, 3.6 mm deep; for the rod 2.5 mm, 4.8 mm deep"


@pytest.mark.parametrize(
    ("metal", "cut", "drill"),
    [
        ('kind = "ball", across = "6 mm"', "a ball of 6.0 mm", "drill 6.5 mm, "),
        ('kind = "rod", across = "4 mm", length = "15 mm"', "a rod of 4.0 mm, 15.0 mm long", "drill 4.5 mm, "),
        (
            'kind = "wrap", wire = "1 mm", across = "3 mm", turns = 8',
            "8 turns of 1.0 mm wire round 3.0 mm", "drill 5.5 mm, ",
        ),
        (
            'kind = "strip", length = "10 mm", width = "4 mm", thickness = "2 mm"',
            "a strip of 10.0 mm x 4.0 mm x 2.0 mm", "drill 5 mm, ",  # its corners are 4.47 mm apart
        ),
    ],
)  # fmt: skip
def test_a_weight_told_by_its_sizes_is_drilled_for_those_sizes(metal: str, cut: str, drill: str) -> None:
    text = f'[ballast.keel]\nat = {{ back = "30 mm", up = "-4 mm" }}\nmetal = {{ {metal} }}\n'
    design = read(HEAD + OVAL.format(70) + text, "test.toml")
    (line,) = cut_list(design, METRIC)
    assert line.replace("\u00a0", " ").endswith(f"of lead: {cut}")
    hole = next(drill_list(design, build(design), METRIC)).replace("\u00a0", " ")
    assert hole.startswith(f"A keel: {drill}")
    assert "for the rod" not in hole


def test_several_pieces_are_told_as_pieces() -> None:
    text = (
        '[ballast.keel]\nat = { back = "30 mm", up = "-4 mm" }\ncount = 2\n'
        'metal = { kind = "rod", across = "3 mm", length = "6 mm" }\n'
    )
    (line,) = cut_list(read(HEAD + OVAL.format(70) + text, "test.toml"), METRIC)
    assert line.replace("\u00a0", " ").endswith(": 2 pieces, each a rod of 3.0 mm, 6.0 mm long")


def test_a_through_wire_is_drilled_for_its_own_diameter() -> None:
    wire = '[wire.spine]\nstart = { back = "0 mm" }\nend = { back = "70 mm" }\ndiameter = "1.2 mm"\ninside = "main"\n'
    design = read(HEAD + OVAL.format(70) + wire, "test.toml")
    (cut,) = cut_list(design, METRIC)
    assert cut.replace("\u00a0", " ") == "A spine: steel wire of 1.2 mm, 70.0 mm long, through the body"
    hole = next(drill_list(design, build(design), METRIC)).replace("\u00a0", " ")
    assert hole.startswith("A spine: drill 1.5 mm for the wire, 70.0 mm along it")


def test_a_mix_is_on_the_sheet_only_if_a_body_is_filled_with_it() -> None:
    hollow = HEAD + OVAL.format(70).replace("cedar", "abs") + 'wall = "1 mm"\nfill = "FILL"\n'
    mix = (
        '[mix.light]\nparts = [{ name = "resin", parts = 1, density = "1.1 g/cm3" }, { name = "hardener", parts = 1, '
        'density = "1.05 g/cm3" }, { name = "spheres", percent = 10, density = "0.15 g/cm3" }]\n'
    )
    with_mix = read(hollow.replace("FILL", "light") + mix, "test.toml")
    found = mix_rows(with_mix, build(with_mix))
    assert found is not None
    name, rows = found
    assert name == "light"
    assert [row.name for row in rows] == ["resin", "hardener", "spheres"]
    inside = next(p for p in build(with_mix).parts if p.kind == "fill").mass * 1e3
    assert float(sum(row.weight for row in rows)) == pytest.approx(
        1.1 * inside, abs=0.1
    )  # 10 % stays in the cup
    without = read(hollow.replace("FILL", "foam") + mix, "test.toml")
    assert mix_rows(without, build(without)) is None


def test_a_through_wire_is_one_line_and_one_letter() -> None:
    wire = '[wire.through]\nstart = { back = "0 mm" }\nend = { back = "70 mm" }\ndiameter = "1 mm"\ninside = "main"\n'
    design = read(HEAD + OVAL.format(70) + wire, "test.toml")
    assert [piece.name for piece in pieces(design)] == ["through"]
    assert [mark.what for mark in marks(design)] == ["through wire through", "tie-on nose"]


# ---- the command --------------------------------------------------------------------------------------


@pytest.mark.parametrize("ending", ["pdf", "svg"])
def test_the_command_writes_the_page_and_the_same_page_every_time(ending: str, tmp_path, capsys) -> None:
    target = tmp_path / f"sheet.{ending}"
    assert main(["sheet", str(SCENARIOS[0]), "-o", str(target)]) == 0
    assert "Print it at 100 %" in capsys.readouterr().out
    first = target.read_bytes()
    assert first.startswith(b"%PDF" if ending == "pdf" else b"<?xml")
    assert main(["sheet", str(SCENARIOS[0]), "-o", str(target)]) == 0
    assert target.read_bytes() == first
    assert [path.name for path in tmp_path.iterdir()] == [target.name]


def test_the_command_refuses_other_endings_and_missing_folders(tmp_path, capsys) -> None:
    assert main(["sheet", str(SCENARIOS[0]), "-o", "sheet.docx"]) == 2
    assert "end the name in .pdf or .svg, as in -o sheet.pdf" in capsys.readouterr().err
    assert main(["sheet", str(SCENARIOS[0]), "-o", str(tmp_path / "none" / "sheet.pdf")]) == 2
    assert "there is no folder" in capsys.readouterr().err


def test_a_mesh_that_cannot_be_used_ends_in_a_sentence(tmp_path, capsys) -> None:
    (tmp_path / "body.stl").write_bytes(b"solid but not really")
    file = tmp_path / "lure.toml"
    file.write_text(HEAD + '[body.main]\nshape = "mesh"\nfile = "body.stl"\nmaterial = "abs"\n')
    assert main(["sheet", str(file)]) == 2
    assert (
        'body.main.file = "body.stl": this is no STL file; export it again, as STL' in capsys.readouterr().err
    )
