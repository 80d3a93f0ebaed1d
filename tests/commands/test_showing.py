"""`status` and `export` at the prompt."""

import sys


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


def test_a_pdf_is_not_poured_over_a_terminal(run, session, monkeypatch):
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    for how in ((), ("-o", "-")):
        ran = run("export", session, "--to", "pdf", *how)
        assert (ran.status, ran.out) == (2, "")
        assert "-o report.pdf" in ran.err


def test_what_an_open_step_wants_is_named_as_it_is_recorded(run, session):
    run("record", session, "compression.pressure@PTO=800")
    said = run("status", session).out
    assert "wanted: compression.pressure@centre, @MAG = a number in kPa" in said
    assert "wanted: belt.cracks = none, surface or through" in said
    assert "wanted: brake.holds = yes or no" in said
    assert "wanted: tidy.done = yes or no" in said
    assert "fan.sag" not in said
    run("skip", session, "tidy", "--why", "no tools")
    assert "tidy.done" not in run("status", session).out


def test_an_unknown_reading_or_answer_names_what_is_possible(run, session):
    said = run("record", session, "belt.widht=32").err
    assert "Did you mean width? Known: width and cracks." in said
    said = run("record", session, "belt.cracks=surfaces").err
    assert "did you mean surface? Choose from none, surface, through." in said


def test_a_decided_finding_says_what_was_decided(run, session):
    run("add-finding", session, "belt", "Edge frayed")
    assert "\nopen, not decided F1: Edge frayed" in run("status", session).out
    run("decide", session, "F1", "later", "--until", "2026-12-20")
    assert "\nput right later, until 2026-12-20 F1: Edge frayed" in run("status", session).out
    run("record", session, "belt.width=30")
    run("decide", session, "belt.width", "run-as-found")
    assert "\nclosed, run as found belt.width: Width" in run("status", session).out


def test_a_log_that_does_not_verify_is_said_at_the_head(run, session, definitions):
    run("record", session, "belt.width=32")
    path = definitions.log(session)
    path.write_bytes(path.read_bytes().replace(b'entered = "32"', b'entered = "33"'))
    ran = run("status", session)
    assert ", open, but the log does NOT verify, " in ran.out.splitlines()[0]
    for form in ("md", "html", "csv", "json"):
        said = run("export", session, "--to", form).out
        words = "open, but the log does NOT verify"
        assert said.index(words) < said.index("Look before you reach"), form
