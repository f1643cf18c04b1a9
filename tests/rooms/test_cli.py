"""The commands as a person meets them: exit codes, what goes to which stream, what is left on the disc."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time

import pytest

from counterbounce.app import cli

START = [sys.executable, "-c", "from counterbounce.app.cli import main; main()"]


@pytest.fixture
def here(tmp_path, monkeypatch, case_texts):
    """A folder with cases in it, as the working directory."""
    for name, text in case_texts.items():
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("COUNTERBOUNCE_DEBUG", raising=False)
    return tmp_path


@pytest.fixture
def ask(here, capsys):
    def run(*arguments):
        code = cli.run(list(arguments))
        out, err = capsys.readouterr()
        return code, out, err

    return run


def made(here):
    return sorted(p.name for p in here.iterdir() if p.suffix != ".toml")


def test_an_answer_is_zero_and_leaves_a_report(ask, here):
    code, out, err = ask("assess", "truck.toml")
    assert (code, err) == (0, "")
    assert "HELPS" in out
    assert made(here) == ["truck-report"]
    assert (here / "truck-report" / "report.html").is_file()
    assert "truck-report/report.html" in out


@pytest.mark.parametrize("name", ["shimmy", "silent", "quarter"])
def test_no_is_an_answer_too(ask, name):
    code, out, _ = ask("assess", f"{name}.toml", "--no-report")
    assert code == 0
    assert "HELPS" not in out


def test_json_is_all_that_is_printed_and_writes_nothing(ask, here):
    code, out, err = ask("assess", "truck.toml", "--json")
    assert (code, err) == (0, "")
    assert json.loads(out)["verdict"]["outcome"] == "helps"
    assert made(here) == []


def test_json_and_a_report_where_it_is_asked_for(ask, here):
    code, out, _ = ask("assess", "silent.toml", "--json", "--out", "deep/er")
    assert code == 0
    assert json.loads(out) == json.loads((here / "deep" / "er" / "answer.json").read_text(encoding="utf-8"))


def test_a_report_may_be_left_out(ask, here):
    assert ask("assess", "silent.toml", "--no-report")[0] == 0
    assert made(here) == []


def test_every_fault_of_a_case_is_told_at_once(ask, here):
    (here / "bad.toml").write_text(
        'name = "x"\n[axle.rear]\nlod = "2 t"\nunsprung_mass = "300"\n', encoding="utf-8"
    )
    code, out, err = ask("assess", "bad.toml")
    assert (code, out) == (2, "")
    assert "bad.toml:3: axle.rear.lod" in err
    assert 'did you mean "load"?' in err
    assert "bad.toml:4: axle.rear.unsprung_mass" in err
    assert "Traceback" not in err
    assert made(here) == []


@pytest.mark.parametrize(
    ("arguments", "wanted"),
    [
        (("assess", "nothing.toml"), "no such file"),
        (("assess", "."), "a directory"),
        (("assess",), "Missing argument"),
        (("asess", "truck.toml"), "No such command 'asess'"),
        (("assess", "truck.toml", "--jsn"), "No such option"),
        (("assess", "truck.toml", "--no-report", "--out", "x"), "contradict each other"),
        (("assess", "silent.toml", "--out", "truck.toml"), "is no folder"),
    ],
)
def test_faults_of_the_input_are_two(ask, here, arguments, wanted):
    code, out, err = ask(*arguments)
    assert (code, out) == (2, "")
    assert wanted in err
    assert "Traceback" not in err
    assert made(here) == []


def test_foreign_files_are_not_written_over(ask, here):
    (here / "silent-report").mkdir()
    (here / "silent-report" / "thesis.txt").write_text("mine")
    code, _, err = ask("assess", "silent.toml")
    assert code == 2
    assert "--out" in err
    assert [p.name for p in (here / "silent-report").iterdir()] == ["thesis.txt"]


def test_our_own_failure_is_one_and_one_line(ask, monkeypatch):
    def fail(*_):
        raise ArithmeticError("two ways\n   disagree")

    monkeypatch.setattr("counterbounce.sizing.assess.assess", fail)
    code, out, err = ask("assess", "silent.toml")
    assert (code, out) == (1, "")
    assert err.count("\n") == 1
    assert "ArithmeticError: two ways disagree" in err
    assert "report it" in err
    monkeypatch.setenv("COUNTERBOUNCE_DEBUG", "1")
    assert "Traceback" in ask("assess", "silent.toml")[2]


def test_interrupted_is_130(ask, monkeypatch):
    def stop(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr("counterbounce.sizing.assess.assess", stop)
    code, out, err = ask("assess", "silent.toml")
    assert (code, out.strip()) == (130, "")
    assert "interrupted" in err
    assert "Traceback" not in err


def test_an_interrupt_from_outside_leaves_nothing(here):
    running = subprocess.Popen(
        [*START, "assess", "truck.toml"], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    time.sleep(1.0)  # wherever it is by then, reading or sizing: all must end the same
    running.send_signal(signal.SIGINT)
    out, err = running.communicate(timeout=60)
    assert (running.returncode, out) == (130, b"")
    assert b"Traceback" not in err
    assert made(here) == []


def test_who_stops_reading_is_no_failure(here):
    """As with a pager that is left: the pipe is closed before anything is printed."""
    read, write = os.pipe()
    os.close(read)
    try:
        done = subprocess.run(
            [*START, "assess", "silent.toml", "--no-report"],
            stdout=write,
            stderr=subprocess.PIPE,
            check=False,
        )
    finally:
        os.close(write)
    assert done.returncode == 0
    assert done.stderr == b""


def test_schema_is_json(ask):
    code, out, _ = ask("schema")
    assert code == 0
    assert {"name", "axle", "complaint"} <= set(json.loads(out)["properties"])


def test_version_and_help(ask):
    assert ask("--version")[:2] == (0, "counterbounce, version " + cli_version() + "\n")
    code, out, _ = ask("--help")
    assert code == 0
    assert "assess" in out
    assert "schema" in out
    assert ask("assess", "-h")[0] == 0


def cli_version():
    from importlib.metadata import version

    return version("counterbounce")


def test_main_leaves_with_the_code(here):
    with pytest.raises(SystemExit) as left:
        cli.main(["assess", "nothing.toml"])
    assert left.value.code == 2


def test_threads_are_kept_to_one_before_anything_is_imported():
    code = "import os; import counterbounce.app.cli; print(os.environ['OPENBLAS_NUM_THREADS'])"
    free = {key: value for key, value in os.environ.items() if key != "OPENBLAS_NUM_THREADS"}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=free)
    assert done.stdout == "1\n"
