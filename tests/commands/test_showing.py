"""`status` and `export` at the prompt."""


def test_steps_that_the_machine_does_not_need_are_not_counted(run, session):
    first = run("status", session).out.splitlines()[0]
    assert first.endswith(", open, 0 of 5 steps")
    assert "open, 0 of 5 steps" in run("sessions").out


def test_a_dash_for_the_file_is_the_standard_output(run, session, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    ran = run("export", session, "--to", "md", "-o", "-")
    assert ran.status == 0 and ran.err == ""
    assert ran.out == run("export", session, "--to", "md").out != ""
    assert not (tmp_path / "-").exists()
