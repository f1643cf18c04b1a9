"""Whatever is public says what it is; numbers in and out carry their units; every doctest is run."""

from __future__ import annotations

import ast
import doctest
import importlib
import re
import types
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FILES = sorted(path for room in ("model", "sizing", "app") for path in (ROOT / room).glob("**/*.py"))
NUMBER = re.compile(r"\b(float|complex|NDArray|ndarray|ArrayLike)\b")
# [m], [N s/m], [-], [rad/s, per axle], but not [0, 1]; or words: SI, its own unit
UNIT = r"(?:\[(?:-|%|1/|[^\W\d_]|°)[^\[\]]*\]|\bSI\b|\bunits?\b)"
DOCUMENTED = (ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)

# Where an engineer begins: here every public function shows itself at work.
AT_WORK = {
    "model": (
        "quantities notebook points parts frame matrices modes doubt settle example response curve_files "
        "state_space speeds road background calibrate comfort_filters drive events exact_step forces "
        "golden_car laws plausible profile profile_spectrum ride ride_files rough_drive roughness travel "
        "wheels"
    ),
    "sizing": (
        "closed_form absorber written ratings limits minimax search any_host before_after target study split "
        "assess in_hand side_by_side closed_form_modes noticed pair remedies robust survey virtual_fit"
    ),
}


def public(tree: ast.AST, owner: str = "") -> Iterator[tuple[str, ast.AST]]:
    """Public classes, functions and methods by their dotted names; what is inside a function is private."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, DOCUMENTED) and not node.name.startswith("_"):
            yield f"{owner}{node.name}", node
            if isinstance(node, ast.ClassDef):
                yield from public(node, f"{owner}{node.name}.")
        elif isinstance(node, ast.If | ast.Try):
            yield from public(node, owner)


def prose(node: ast.AST) -> str:
    """A docstring without its doctests: a list in an example is no unit."""
    return re.sub(r"^\s*>>>.*?(?:\n\s*\n|\Z)", "\n", ast.get_docstring(node) or "", flags=re.M | re.S)


def is_number(annotation: ast.AST | None) -> bool:
    """Whether an annotation speaks of floats or arrays; a Callable's own arguments are its own affair."""
    text = ast.unparse(annotation) if annotation else ""
    return (
        "Callable" not in text
        and not re.search(r"\b(bool|int|str)_?\b\]", text)
        and bool(NUMBER.search(text))
    )


def without_unit(node: ast.AST) -> Iterator[str]:
    """The numbers of a function or class of which its docstring gives no unit."""
    text = prose(node)
    if isinstance(node, ast.ClassDef):
        fields = [
            line for line in node.body if isinstance(line, ast.AnnAssign) and is_number(line.annotation)
        ]
        if fields and not re.search(UNIT, text):
            yield "its fields"
        return
    arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
    for argument in arguments:
        if is_number(argument.annotation) and not re.search(rf"\b{argument.arg}\b.*{UNIT}", text):
            yield argument.arg
    if is_number(node.returns) and not re.search(UNIT, text):
        yield "what it returns"


def faults(source: str) -> list[str]:
    """What a file leaves unsaid."""
    tree = ast.parse(source)
    nodes = [("the file", tree), *public(tree)]
    silent = [f"{name}: no docstring" for name, node in nodes if not ast.get_docstring(node)]
    spoken = [(name, node) for name, node in nodes[1:] if ast.get_docstring(node)]
    return silent + [f"{name}: no [unit] for {what}" for name, node in spoken for what in without_unit(node)]


def written(source: str) -> int:
    """How many examples stand in a file's docstrings."""
    nodes = [node for node in ast.walk(ast.parse(source)) if isinstance(node, (ast.Module, *DOCUMENTED))]
    return sum(len(doctest.DocTestParser().get_examples(ast.get_docstring(node) or "")) for node in nodes)


def without_example(source: str) -> list[str]:
    """The public functions of a file whose docstring runs nothing; methods are shown by their class."""
    functions = [node for node in ast.parse(source).body if isinstance(node, ast.FunctionDef)]
    parser = doctest.DocTestParser()
    shown = {node.name for node in functions if parser.get_examples(ast.get_docstring(node) or "")}
    return [node.name for node in functions if not node.name.startswith("_") and node.name not in shown]


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_whatever_is_public_says_what_it_is(path):
    assert faults(path.read_text()) == []


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_example_in_a_docstring_is_run_and_right(path):
    parts = path.relative_to(ROOT).with_suffix("").parts
    module = importlib.import_module(".".join(["counterbounce", *parts]).removesuffix(".__init__"))
    assert Path(module.__file__) == path
    assert doctest.testmod(module) == doctest.TestResults(failed=0, attempted=written(path.read_text()))


@pytest.mark.parametrize("file", [f"{room}/{name}.py" for room in AT_WORK for name in AT_WORK[room].split()])
def test_every_function_where_an_engineer_begins_has_an_example(file):
    assert without_example((ROOT / file).read_text()) == []


def test_there_are_examples():
    assert sum(written(path.read_text()) for path in FILES) > 20


# The guards are seen failing.

SAID = '''"""A file."""

def lift(mass: float, arms: NDArray[Any], name: str, count: int, law: Callable[[float], float]) -> float:
    """Work [J] to lift `mass` [kg].

    arms  lengths [m]

    >>> [mass, 1.0]
    [1.0]
    """

class Host:
    """A thing: rate [N/m]."""
    rate: float
    names: tuple[str, ...]

    def share(self) -> float:
        """Share of its energy [-]."""

    def _hidden(self): ...
'''


@pytest.mark.parametrize(
    ("said", "unsaid", "fault"),
    [
        ("", "", None),
        ('"""A file."""', "", "the file: no docstring"),
        ('"""A thing: rate [N/m]."""', "", "Host: no docstring"),
        ('"""Share of its energy [-]."""', "pass", "Host.share: no docstring"),
        ("`mass` [kg]", "`mass`", "lift: no [unit] for mass"),
        ("`mass` [kg]", "`mass` [0, 1]", "lift: no [unit] for mass"),
        ("lengths [m]", "lengths", "lift: no [unit] for arms"),
        ("arms  lengths [m]", "lengths [m]", "lift: no [unit] for arms"),
        ("`mass` [kg]", "`mass` in SI", None),
        ("rate [N/m].", "rate.", "Host: no [unit] for its fields"),
        ("energy [-]", "energy", "Host.share: no [unit] for what it returns"),
        ("_hidden", "shown", "Host.shown: no docstring"),
    ],
)
def test_what_is_unsaid_is_seen(said, unsaid, fault):
    assert faults(SAID.replace(said, unsaid) if said else SAID) == ([fault] if fault else [])


def test_a_function_without_an_example_is_seen():
    source = 'def one():\n    """One.\n\n    >>> 1\n    1\n    """\n'
    assert without_example(source) == []
    assert without_example(source.replace(">>> 1", "one, 1")) == ["one"]
    assert without_example(source + "def two(): ...\ndef _three(): ...\n") == ["two"]


@pytest.mark.parametrize(
    ("example", "result"),
    [
        (">>> 1 + 1\n    2", (0, 1)),
        (">>> 1 + 1\n    3", (1, 1)),
        (">>> 1 + 1  # doctest: +SKIP\n    3", (0, 0)),
    ],
)
def test_a_wrong_or_skipped_example_is_seen(example, result):
    source = f'def two():\n    """Two.\n\n    {example}\n    """\n'
    module = types.ModuleType("made_up")
    exec(compile(source, "made_up", "exec"), module.__dict__)
    assert written(source) == 1
    assert tuple(doctest.testmod(module)) == result
