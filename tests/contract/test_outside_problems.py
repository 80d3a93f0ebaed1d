"""What `check` says, seen from the command line alone."""

from inspect_tui.cli import main

DOUBLED = """id = "short"
title = "Short"
revision = 1
[[section]]
id = "s"
title = "S"
[[section.step]]
id = "a"
title = "A"
[[section.step]]
id = "b"
title = "B"
[[inference]]
id = "leak"
when = "a.done and b.done"
says = "Look."
sure = "low"
[[inference]]
id = "leak"
when = "a.done and b.done"
says = "Look."
sure = "low"
"""


def test_a_doubled_inference_is_named_at_its_second_place(tmp_path, capsys):
    file = tmp_path / "short.toml"
    file.write_text(DOUBLED, encoding="utf-8")
    assert main(["check", str(file)]) == 1
    assert capsys.readouterr().out == (
        f"{file}:19: inference.id: 'leak' is already an inference; write another id.\n"
    )


def test_an_absent_file_keeps_back_nothing_of_the_others(tmp_path, capsys):
    file = tmp_path / "short.toml"
    file.write_text(DOUBLED, encoding="utf-8")
    assert main(["check", str(tmp_path / "none.toml"), str(file)]) == 2
    said = capsys.readouterr()
    assert said.err == f"There is no file '{tmp_path / 'none.toml'}'.\n"
    assert said.out.startswith(f"{file}:19: inference.id: ")
    assert len(said.out.splitlines()) == 1
