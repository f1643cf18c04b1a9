"""Each room's contents page lists its files in reading order, and is the rule for imports."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

PROJECT = "counterbounce"
ROOMS = ("model", "sizing", "app")
OWNERS = {"matplotlib": f"{PROJECT}.app.figures", "pint": f"{PROJECT}.model.unit_names"}
OF_THE_APP = {"click", "rich", "jinja2"}
LOADERS = {  # and their arguments
    "import_module": ("name", "package"),
    "__import__": ("name", "globals", "locals", "fromlist", "level"),
}
COMPUTED = "a name that is computed"
ENTRY = re.compile(r"^ {4}(?P<name>\w+)(?P<room>/?)(?:\s.*?(?:\(only: (?P<only>[^)]*)\))?)?\s*$")


@dataclass(frozen=True)
class Entry:
    """A line of a contents page."""

    name: str
    is_room: bool
    only: tuple[str, ...] | None


def contents(room: Path) -> list[Entry]:
    """A room's page: `name  text`, or `name/  text` for a room within; either may end in `(only: a, b)`, and
    goes on where a line stands further in."""
    page = ast.get_docstring(ast.parse((room / "__init__.py").read_text()), clean=False) or ""
    lines = [match for line in re.sub(r"\n {8,}", " ", page).splitlines() if (match := ENTRY.match(line))]
    only = [m["only"] and tuple(m["only"].replace(" ", "").split(",")) for m in lines]
    return [Entry(m["name"], bool(m["room"]), names) for m, names in zip(lines, only, strict=True)]


def page_faults(room: Path) -> Iterator[str]:
    """Where a page and its folder differ."""
    listed = [entry.name + "/" * entry.is_room for entry in contents(room)]
    folders = {f"{path.name}/" for path in room.iterdir() if path.is_dir() and any(path.glob("**/*.py"))}
    found = {path.stem for path in room.glob("*.py")} - {"__init__"} | folders
    yield from (f"{room.name}: {name} is not on the page" for name in sorted(found - set(listed)))
    yield from (f"{room.name}: {name} is not in the folder" for name in listed if name not in found)
    yield from (f"{room.name}: {name} is listed twice" for name in set(listed) if listed.count(name) > 1)
    for entry in contents(room):
        if entry.is_room and (room / entry.name / "__init__.py").exists():
            yield from page_faults(room / entry.name)


def named(one: str, room: Path, full: str) -> str:
    """The full name of what "(only: one)" means: a file or room beside it, or else further out."""
    inner = one.replace(".", "/")
    while full != PROJECT and not ((room / inner).is_dir() or (room / f"{inner}.py").is_file()):
        room, full = room.parent, full.rpartition(".")[0]
    return f"{full}.{one}"


def reading_order(room: Path, full: str, limits: tuple = ()) -> Iterator[tuple[str, Path, tuple]]:
    """(full name, file, limits) down the page; each limit is a set of names that "(only: ...)" leaves."""
    for entry in contents(room):
        name, path = f"{full}.{entry.name}", room / entry.name
        only = tuple(named(one.rstrip("/"), room, full) for one in entry.only or ())
        narrowed = (*limits, (*only, name)) if only else limits
        if entry.is_room:
            yield from reading_order(path, name, narrowed)
        else:
            yield name, path.with_suffix(".py"), narrowed


def absolute(package: str, level: int, name: str) -> str:
    """A relative name in full."""
    above = package.split(".")[: len(package.split(".")) - level + 1] if level else []
    return ".".join([*above, *([name] if name else [])])


def loaded(call: ast.Call, loader: str, package: str) -> list[str]:
    """What `import_module(...)` or `__import__(...)` loads."""
    given = dict(zip(LOADERS[loader], call.args, strict=False)) | {k.arg: k.value for k in call.keywords}
    if "package" in given and ast.unparse(given["package"]) == "__package__":
        del given["package"]
    try:
        value = {k: ast.literal_eval(v) for k, v in given.items() if k not in ("globals", "locals")}
        dots = len(value["name"]) - len(value["name"].lstrip("."))
    except (ValueError, KeyError, AttributeError):
        return [COMPUTED]
    name = absolute(value.get("package", package), value.get("level", 0) or dots, value["name"].lstrip("."))
    return [f"{name}.{item}" for item in value.get("fromlist") or ()] or [name]


def loader_names(nodes: list[ast.AST]) -> dict[str, str]:
    """What the two loading functions are called in a file."""
    renamed = [a for n in nodes if isinstance(n, ast.ImportFrom) for a in n.names if a.name in LOADERS]
    return {name: name for name in LOADERS} | {a.asname or a.name: a.name for a in renamed}


def imports(tree: ast.AST, package: str) -> Iterator[tuple[int, str]]:
    """(line, full dotted name) of everything a file asks for, by whatever form and wherever in the file."""
    nodes = list(ast.walk(tree))
    loaders = loader_names(nodes)
    links = {id(node.value) for node in nodes if isinstance(node, ast.Attribute)}
    called = {id(node.func) for node in nodes if isinstance(node, ast.Call)}
    for node in nodes:
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = absolute(package, node.level, node.module or "")
            names = [f"{base}.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.Call) and (loader := loaders.get(ast.unparse(node.func).split(".")[-1])):
            names = loaded(node, loader, package)
        elif isinstance(node, ast.Name | ast.Attribute) and id(node) not in links:
            path = ast.unparse(node).split(".")
            if path[0] == PROJECT and len(path) > 1:
                names = [".".join(path)]
            elif path[-1] in loaders and id(node) not in called:
                names = [COMPUTED]
        yield from ((node.lineno, name) for name in names)


def refusal(file: str, wanted: str, place: dict[str, int], limits: tuple[tuple[str, ...], ...]) -> str | None:
    """Why `file` may not import `wanted`, or None."""
    top = wanted.split(".")[0]
    if top in OWNERS and file != OWNERS[top]:
        return f"only {OWNERS[top]} knows {top}"
    if top in OF_THE_APP and file.split(".")[1] != "app":
        return f"{top} belongs to the app"
    if wanted == COMPUTED:
        return "write it out, so that it can be checked"
    if top != PROJECT:
        return None
    target = next((name for name in place if f"{wanted}.".startswith(f"{name}.")), None)
    if target is None:
        return "it is no file of a contents page"
    if place[target] >= place.get(file, -1):
        return "it does not stand above"
    if not all(any(f"{target}.".startswith(f"{name}.") for name in allowed) for allowed in limits):
        return "its (only: ...) leaves it out"
    return None


def import_faults(root: Path) -> Iterator[str]:
    """Every import that the pages of the rooms below `root` do not allow."""
    order = [entry for room in ROOMS for entry in reading_order(root / room, f"{PROJECT}.{room}")]
    place = {name: index for index, (name, _, _) in enumerate(order)}
    pages = {init for room in ROOMS for init in (root / room).glob("**/__init__.py")}
    inits = [
        (f"{PROJECT}.{'.'.join(i.relative_to(root).with_suffix('').parts)}", i, ()) for i in sorted(pages)
    ]
    for name, path, limits in [*inits, *order]:
        if path.exists():
            for line, wanted in imports(ast.parse(path.read_text()), name.rpartition(".")[0]):
                if why := refusal(name, wanted, place, limits):
                    yield f"{path.relative_to(root)}:{line} imports {wanted}: {why}"


def test_each_page_lists_its_folder(root):
    assert [fault for room in ROOMS for fault in page_faults(root / room)] == []


def test_every_import_stands_above_on_its_page(root):
    assert list(import_faults(root)) == []


# The guard is seen failing, on a made-up house.

HOUSE = {
    "model": "    parts     springs\n    measured/ what was felt  (only: parts)\n"
    "    modes     shapes\n    speeds    worst first\n",
    "model/measured": "    spectra   a steady stretch\n    orders    along the angle  (only: parts)\n",
    "sizing": "    search    everywhere\n    verdict   yes or no\n",
    "app": "    figures   pictures\n    cli       commands\n",
}


@pytest.fixture
def made_up(tmp_path):
    for room, page in HOUSE.items():
        (tmp_path / room).mkdir()
        (tmp_path / room / "__init__.py").write_text(f'"""A room.\n\n{page}"""\n')
        for entry in contents(tmp_path / room):
            if not entry.is_room:
                (tmp_path / room / f"{entry.name}.py").write_text("import math\n")
    return tmp_path


def write(house: Path, file: str, text: str) -> list[str]:
    (house / f"{file}.py").write_text(text)
    return [fault for room in ROOMS for fault in page_faults(house / room)] + list(import_faults(house))


FORMS = [
    "from .{x} import f",
    "from .{x} import *",
    "from . import {x}",
    "from ..model import {x}",
    "from ..model.{x} import f",
    "import counterbounce.model.{x}",
    "import counterbounce.model.{x} as other",
    "import counterbounce.model.parts\nf = counterbounce.model.{x}.f",
    "import math, counterbounce.model.{x}",
    "from counterbounce.model import {x}",
    "from counterbounce.model.{x} import f",
    "import importlib\nimportlib.import_module('counterbounce.model.{x}')",
    "import importlib as lib\nlib.import_module(name='counterbounce.model.{x}')",
    "from importlib import import_module\nimport_module('.{x}', __package__)",
    "from importlib import import_module as load\nload('..model.{x}', package='counterbounce.sizing')",
    "__import__('counterbounce.model.{x}')",
    "__import__('counterbounce.model', fromlist=['{x}'])",
    "__import__('{x}', globals(), locals(), (), 1)",
    "def f():\n    from .{x} import g\n    return g",
    "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from .{x} import g",
    "try:\n    from .{x} import g\nexcept ImportError:\n    g = None",
]


@pytest.mark.parametrize("form", FORMS)
def test_each_form_of_import_is_seen(made_up, form):
    own_package = form.replace("counterbounce.sizing", "counterbounce.model")
    assert write(made_up, "model/modes", own_package.format(x="parts")) == []
    faults = write(made_up, "model/modes", own_package.format(x="speeds"))
    assert len(faults) == 1
    assert "does not stand above" in faults[0]
    assert write(made_up, "model/modes", own_package.format(x="nowhere"))


CROSSINGS = {  # file, import, and what is wrong with it
    ("sizing/search", "from ..model.speeds import f"): "",
    ("app/cli", "from ..sizing import verdict\nfrom ..model.measured import spectra"): "",
    ("app/figures", "from matplotlib.figure import Figure"): "",
    ("model/measured/orders", "from ..parts import f"): "",
    ("model/measured/orders", "from .spectra import f"): "leaves it out",
    ("model/modes", "from .measured.spectra import f"): "",
    ("model/speeds", "from ..sizing.search import f"): "does not stand above",
    ("model/speeds", "from counterbounce.app import cli"): "does not stand above",
    (
        "sizing/verdict",
        "import importlib\nimportlib.import_module('..app.cli', __package__)",
    ): "does not stand above",
    ("model/modes", "from .modes import f"): "does not stand above",
    ("model/modes", "from . import *"): "no file",
    ("app/cli", "import counterbounce.model as m"): "no file",
    ("app/cli", "from ..model import __version__"): "no file",
    ("sizing/__init__", "from ..model.parts import f"): "does not stand above",
    ("model/measured/spectra", "from .orders import f"): "does not stand above",
    ("model/measured/spectra", "from ..modes import f"): "does not stand above",
    ("app/cli", "name = 'x'\n__import__(name)"): "write it out",
    ("app/cli", "import importlib\nload = importlib.import_module"): "write it out",
    ("app/cli", "import matplotlib"): "only counterbounce.app.figures",
    ("model/modes", "def f():\n    from pint import UnitRegistry"): "only counterbounce.model.unit_names",
    ("model/modes", "import rich.table"): "belongs to the app",
    ("sizing/search", "from click import echo"): "belongs to the app",
    ("sizing/search", "import jinja2"): "belongs to the app",
    ("model/extra", ""): "extra is not on the page",
}


@pytest.mark.parametrize(("crossing", "wrong"), CROSSINGS.items())
def test_rooms_and_libraries_are_kept_apart(made_up, crossing, wrong):
    file, text = crossing
    page = (made_up / f"{file}.py").read_text() if file.endswith("__init__") else ""
    faults = write(made_up, file, page + text)
    assert len(faults) == bool(wrong), faults
    assert wrong in "".join(faults)


def test_only_leaves_the_rest_out(made_up):
    page = made_up / "model" / "__init__.py"
    page.write_text(page.read_text().replace("worst first", "worst first  (only: measured, parts)"))
    assert write(made_up, "model/speeds", "from .measured.orders import f\nfrom .parts import g") == []
    assert "leaves it out" in write(made_up, "model/speeds", "from .modes import f")[0]


def test_a_room_within_is_held_to_its_list(made_up):
    page = made_up / "model" / "__init__.py"
    page.write_text(page.read_text().replace("    parts ", "    points    rows\n    parts "))
    (made_up / "model" / "points.py").write_text("")
    assert write(made_up, "model/measured/spectra", "from ..parts import f") == []
    assert "leaves it out" in write(made_up, "model/measured/spectra", "from ..points import f")[0]


@pytest.mark.parametrize(
    ("edit", "wrong"),
    [
        (("    modes     shapes\n", ""), "modes is not on the page"),
        (("    modes ", "    beams     bending\n    modes "), "beams is not in the folder"),
        (("    modes ", "    parts     again\n    modes "), "parts is listed twice"),
        (("    measured/", "    measured "), "measured/ is not on the page"),
    ],
)
def test_a_page_that_differs_from_its_folder_is_seen(made_up, edit, wrong):
    page = made_up / "model" / "__init__.py"
    page.write_text(page.read_text().replace(*edit))
    assert f"model: {wrong}" in list(page_faults(made_up / "model"))
