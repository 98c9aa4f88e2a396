"""What a writer of a style or a kind gets wrong is one line that says whose it is and where.

Each case spoils one thing of a package that works; what the line has to say is written by hand. The
works of reading, drawing and standing up are each called in a place of its own, so each is tried.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.test_other_packages import DESIGN, ITEMS
from tests.other_package import EXTRAS, fitcheck_beside, installed

STYLE = "the style 'strip-tray' of the package bench-extras"
KIND = "the kind 'triangle' of the package bench-extras"
SPEC = "return WalledSpec(**common, tabs=Axis.LENGTH)"
RECIPE = "return StripRecipe.of(spec, size_mm, joint_mm, tools, tabs=Axis.LENGTH)"
DRAWN = "return Pattern(part=recipe.part, sheet=size, panels=drawn.panels, creases=drawn.creases)"
HEAD = "    def spec(self, common, file):"
PRINTED = 'return Pose("", base, height, length, Polygon(corners))'
RAISES = f"""import sys
        if sys._getframe(1).f_code.co_name != "upright":
            raise ValueError("p")
        {PRINTED}"""
UPRIGHT = "        if up < 2:"
IMPORT = "from fitcheck.extending import (\n    STRICT,"


def own(code: str) -> tuple[str, str]:
    """One more method of the style."""
    return HEAD, f"    {code}\n\n{HEAD}"


def moved(code: str) -> tuple[str, str]:
    """Another pattern than the one that was drawn."""
    return DRAWN, f"found = {DRAWN.removeprefix('return ')}\n        {code}"


def panels(change: str) -> tuple[str, str]:
    return moved(f"return replace(found, panels={change})")


def corners(which: str, by: float) -> tuple[str, str]:
    """Some corners of the left wall moved across; its foot's are the first two."""
    return panels(
        f"tuple(replace(p, corners=tuple(replace(c, dx=c.dx + ({by} if {which} else 0)) for k, c "
        "in enumerate(p.corners))) if p.name == 'left wall' else p for p in found.panels)"
    )


STYLES = {
    "spec raises": ((SPEC, "1 / 0"), "read the table of the base (ZeroDivisionError"),
    "spec gives nothing": ((SPEC, "pass"), "read the table of the base (read None; allowed: a Par"),
    "a length that is none": (
        (SPEC, 'return WalledSpec(**common, tabs=Axis.LENGTH, tab_setback_mm=float("nan"))'),
        "read the table of the base (read tab_setback_mm nan; allowed: a finite number)",
    ),
    "recipe raises": ((RECIPE, "None.foo"), "make a recipe of the base (AttributeError"),
    "problems raise": (
        own("def floor_problems(self, *given): raise RuntimeError('x')"),
        "say what cannot be folded of the base (RuntimeError: x)",
    ),
    "a problem is a text": (
        own("def floor_problems(self, *given): yield 'too high'"),
        "say what cannot be folded of the base (read 'too high'; allowed: a tuple)",
    ),
    "mates give nothing": (
        own("def mates(self, spec): return None"), "goes with other parts (read None; allowed: sev"
    ),
    "a mate of nobody": (
        own("def mates(self, spec): return (Along('base', 'tunnel', Axis.LENGTH),)"),
        "say how the base goes with other parts (read the part 'tunnel'; allowed: base, lid)",
    ),
    "a panel that turns and is not there": (
        own("def mates(self, spec): return (Turned('base', 'base', 'hatch', 1.0),)"),
        "say how the base goes with other parts (read the panel 'hatch' to turn; allowed: ",
    ),
    "draws nothing": ((DRAWN, "pass"), "draw the base (read None; allowed: a Pattern)"),
    "no panel": (panels("()"), "draw the base (read no panel; allowed: a root"),
    "a parent that is not there": (
        panels("found.panels[1:]"), "draw the base (a crease names the panel floor; allowed: front"
    ),
    "a name used twice": (
        panels("(*found.panels, found.panels[-1])"), "draw the base (2 panels are called "
    ),
    "a bond to nowhere": (
        moved("return replace(found, bonds=(seam('front wall', 'hatch'),))"),
        "draw the base (a bond names the panel hatch; allowed: floor, front wall",
    ),
    "a bond that its creases do not make": (  # the wall is folded once, its outside looks away
        moved("return replace(found, bonds=(roll('front wall', 'floor'),))"),
        "draw the base (the front wall comes to lie otherwise on the floor than by its outside",
    ),
    "a bond of a panel with itself": (
        moved("return replace(found, bonds=(roll('front wall', 'front wall'),))"),
        "draw the base (a bond lays the front wall on itself; allowed: two panels)",
    ),
    "the part of another recipe": (
        (DRAWN, DRAWN.replace("recipe.part", "'lid'")),
        "draw the base (read the part 'lid'; allowed: that of its recipe)",
    ),
    "a length that is a text": (
        (SPEC, SPEC.replace("WalledSpec(", "type('Own', (WalledSpec,), {'growth_mm': '3'})(")),
        "read the table of the base (read growth_mm '3'; allowed: a finite number of mm)",
    ),
    "a floor that is narrower than its recipe": (  # of 25 x 27 mm
        ("Sheet(recipe.width_mm + 2 * depth,", "Sheet(recipe.width_mm - 6 + 2 * depth,"),
        "draw the base (read a floor of 19 x 27 mm, score to score; allowed: that of its recipe, "
        "25 x 27 mm, unless draws_floor is False)",
    ),
    "walls that are lower than its recipe": (  # of 46 mm
        ("depth = recipe.depth_mm", "depth = recipe.depth_mm - 3"),
        "draw the base (read a highest wall of 43 mm; allowed: the depth of its recipe, 46 mm, "
        "unless draws_depth is False)",
    ),
    "a panel that nothing carries": (
        moved("return replace(found, creases=found.creases[1:])"),
        "draw the base (no crease carries the ",
    ),
    "a panel outside the sheet": (
        corners("2 <= k", -20.0), "the left wall ends 20.00 mm outside the sheet; allowed"
    ),
    "panels over each other": (  # 5 mm of the foot, 27 mm long
        corners("k < 2", 5.0), "the floor and the left wall share 135.0 mm2 of the sheet; allowed"
    ),
    "a score beside its panels": (
        moved(
            "return replace(found, creases=(replace(c := found.creases[0], start=replace(c.start, "
            "dx=3.0, dy=4.0), stop=replace(c.stop, dx=3.0, dy=4.0)), *found.creases[1:]))"
        ),
        "runs along no edge of the floor; allowed",
    ),
    "a score that is too long": (
        moved(
            "return replace(found, creases=(replace(c := found.creases[0], "
            "stop=replace(c.stop, dx=c.stop.dx + 9.0, dy=c.stop.dy)), *found.creases[1:]))"
        ),
        "where neither panel ends; allowed",
    ),
}  # fmt: skip
KINDS = {
    "upright raises": ((UPRIGHT, f"        1 / 0\n{UPRIGHT}"), "up on its width (ZeroDivision"),
    "upright gives nothing": (
        (UPRIGHT, f"        return None\n{UPRIGHT}"), "up on its width (read None; allowed: sever"
    ),
    "no pose": ((UPRIGHT, f"        return ()\n{UPRIGHT}"), "(read none; allowed: one pose or mo"),
    "printed raises": ((PRINTED, RAISES), "lay nougat out for printing (ValueError: p)"),
    "a height below 0": (
        (PRINTED, PRINTED.replace("length,", "-length,")), "up on its height (read a pose of 22 x 1"
    ),
    "printed in inches": (
        (PRINTED, PRINTED.replace("base,", "base / 25.4,")), "(read a pose of 0.866142 x 17 x 31 mm"
    ),
    "a plan that is too large": (
        ("        corners = (-0.5", "        corners = (-1.5"), "(read a plan from -33 to 11 mm wh"
    ),
    "a size that is a text": (
        (PRINTED, PRINTED.replace("base,", "'22',")),
        "up on its height (read width_mm '22'; allowed: a finite number of mm)",
    ),
    "a plan without corners": (
        ("Polygon(corners))\n\n\nSTRIP", "Polygon(()))\n\n\nSTRIP"),
        "(read a plan of 0 corners; allowed: three or more)",
    ),
    "a corner that is no place": (
        ("        corners = (-0.5 * base", "        corners = (float('nan')"),
        "(read a plan with a corner that is no place; allowed: pairs of finite numbers)",
    ),
    "corners out of order": (
        ("Polygon(corners))\n\n\nSTRIP", "Polygon(corners[::-1]))\n\n\nSTRIP"),
        "(read a plan with a corner inwards; allowed: a convex one, counter-clockwise)",
    ),
}  # fmt: skip


def spoilt(folder: Path, change: tuple[str, str]) -> list[Path]:
    """The package with one thing spoilt."""
    before, after = change
    names = "Along, Turned, roll, seam, STRICT,"
    code = EXTRAS.replace(IMPORT, IMPORT.replace("STRICT,", names))
    assert before in code and names in code
    offers = {
        "fitcheck.styles": {"strip-tray": "bench_extras:STRIP_TRAY"},
        "fitcheck.kinds": {"triangle": "bench_extras:TRIANGLE"},
    }
    return [installed(folder / "site", "bench-extras", code.replace(before, after), offers)]


def said(folder: Path, change: tuple[str, str]) -> str:
    (folder / "models").mkdir()
    (folder / "models" / "items.toml").write_text(ITEMS)
    (folder / "models" / "nougat.toml").write_text(DESIGN)
    beside = spoilt(folder, change)
    ran = fitcheck_beside(beside, "check", "nougat", "--no-odds", cwd=folder)
    assert ran.status == 2, ran.err
    assert ran.out == ""
    (line,) = ran.err.splitlines()
    assert line.endswith("; mend that package or uninstall it")
    return line


@pytest.mark.parametrize("case", STYLES)
def test_a_fault_of_a_style(tmp_path: Path, case: str) -> None:
    change, words = STYLES[case]
    line = said(tmp_path, change)
    assert f"{STYLE} fails to " in line
    assert words in line


def test_what_a_recipe_says_of_itself(tmp_path: Path) -> None:
    """Its lengths are asked for where it is made, whoever wants them later."""
    line = said(tmp_path, ("        return 0.0", "        return self.nothing_of_the_kind"))
    assert f"fitcheck: {STYLE} fails to make a recipe of the base (AttributeError: " in line


def test_what_fails_when_its_part_is_folded(tmp_path: Path) -> None:
    asked = "        return 0.0"
    folds = f"{asked}\n\n    @property\n    def folds(self):\n        return self.not_there"
    line = said(tmp_path, (asked, folds))
    assert f"fitcheck: {STYLE} fails to draw what can be folded (AttributeError: " in line


def test_of_several_styles_in_a_module_the_one_that_fails_is_named(tmp_path: Path) -> None:
    """A spec is asked by the program itself, beside every guard."""
    asked = SPEC.replace(
        "WalledSpec(", "type('Own', (WalledSpec,), {'around': lambda self, plans: 1 / 0})("
    )
    other = """
class OtherFile(StripFile):
    style: Literal["other-tray"] = Field(description="The other.")


class OtherTray(StripTray):
    name, file = "other-tray", OtherFile


STRIP_TRAY, TRIANGLE = StripTray(), TrianglePrism()
OTHER = OtherTray()
"""
    made = "STRIP_TRAY, TRIANGLE = StripTray(), TrianglePrism()\n"
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "items.toml").write_text(ITEMS)
    (tmp_path / "models" / "nougat.toml").write_text(DESIGN)
    offers = {
        "fitcheck.styles": {
            "strip-tray": "bench_extras:STRIP_TRAY",
            "other-tray": "bench_extras:OTHER",
        },
        "fitcheck.kinds": {"triangle": "bench_extras:TRIANGLE"},
    }
    code = EXTRAS.replace(SPEC, asked).replace(made, other)
    beside = [installed(tmp_path / "site", "bench-extras", code, offers)]
    ran = fitcheck_beside(beside, "check", "nougat", "--no-odds", cwd=tmp_path)
    (line,) = ran.err.splitlines()
    assert ran.status == 2
    assert line.startswith(f"fitcheck: {STYLE} fails (ZeroDivisionError: ")


@pytest.mark.parametrize("key", ["draws_floor", "draws_depth"])
def test_a_style_may_say_that_its_sizes_are_others(tmp_path: Path, key: str) -> None:
    before, after = (
        ("Sheet(recipe.width_mm + 2 * depth,", "Sheet(recipe.width_mm + 6 + 2 * depth,")
        if key == "draws_floor"
        else ("depth = recipe.depth_mm", "depth = recipe.depth_mm + 3")
    )
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "items.toml").write_text(ITEMS)
    (tmp_path / "models" / "nougat.toml").write_text(DESIGN[: DESIGN.index("[lid]")])
    place = '    places = ("base",)\n'
    said_so = EXTRAS.replace(before, after).replace(place, f"{place}    {key} = False\n")
    offers = {"fitcheck.styles": {"strip-tray": "bench_extras:STRIP_TRAY"}}
    beside = [installed(tmp_path / "site", "bench-extras", said_so, offers)]
    ran = fitcheck_beside(beside, "check", "nougat", "--no-odds", cwd=tmp_path)
    assert (ran.status, ran.err) == (0, "")


def test_a_kind_that_lays_an_item_no_way(tmp_path: Path) -> None:
    upright = "    def upright(self, item, up, word):"
    line = said(
        tmp_path, (upright, f"    def lays(self, item, lay, like):\n        return ()\n\n{upright}")
    )
    assert f"{KIND} fails to lay nougat end (read none; allowed: one pose or more)" in line


@pytest.mark.parametrize("case", KINDS)
def test_a_fault_of_a_kind(tmp_path: Path, case: str) -> None:
    change, words = KINDS[case]
    line = said(tmp_path, change)
    assert f"items.toml: nougat: {KIND} fails to " in line
    assert words in line


def test_a_key_that_the_place_has_in_another_sense(tmp_path: Path) -> None:
    keys = '    strip: Literal["paper", "cloth"]'
    own_slack = f'    slack: float = Field(default=3.0, description="Own.")\n{keys}'
    line = said(tmp_path, (keys, own_slack))
    assert f"{STYLE}: read the key slack, which every [base] has" in line
