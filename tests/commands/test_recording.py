"""The commands that write, seen from outside: exit status, streams, `status --json`, the log."""

from __future__ import annotations

import pytest


def reading(state, step, name, cylinder=None, phase="as-found"):
    rows = [
        row
        for row in state["readings"]
        if (row["step"], row["reading"], row["cylinder"], row["phase"])
        == (step, name, cylinder, phase)
    ]
    assert len(rows) <= 1
    return rows[0] if rows else None


def finding(state, name):
    return next((row for row in state["findings"] if row["id"] == name), None)


def step(state, name):
    return next(row["state"] for row in state["steps"] if row["id"] == name)


def finish(run, session):
    """Everything that the short list wants, all of it good."""
    values = [
        "main-jet.stamp@PTO=240", "main-jet.stamp@centre=230", "main-jet.stamp@MAG=250",
        "main-jet.needle@PTO=6K", "main-jet.needle@centre=6L", "main-jet.needle@MAG=6M",
        "compression.pressure@PTO=850", "compression.pressure@centre=855",
        "compression.pressure@MAG=845", "belt.width=33 mm", "belt.cracks=none",
        "brake.holds=yes", "tidy.done=yes",
    ]  # fmt: skip
    ran = run("record", session, *values)
    assert ran.status == 0, ran.err


def test_new_prints_the_id_alone(session):
    assert session.endswith("-test-bed-short")
    assert "\n" not in session


def test_a_value_is_converted_and_judged(run, session, status):
    ran = run("record", session, "belt.width=1-1/4 in")
    assert ran.status == 0
    row = reading(status(session), "belt", "width")
    assert (row["value"], row["unit"], row["entered"]) == (31.75, "mm", "1-1/4 in")
    assert row["verdict"] == "pass"
    assert "CAUTION" in ran.err and "Engine off" in ran.err


def test_all_or_none(run, session, status):
    ran = run("record", session, "belt.width=32", "belt.cracks=perhaps")
    assert ran.status == 2
    assert ran.err.count("\n") == 1 and "belt.cracks" in ran.err
    assert ran.err.endswith(" Nothing was recorded.\n")
    assert status(session)["readings"] == []
    assert "Nothing was recorded" not in run("record", session, "belt.cracks=perhaps").err


def test_a_reading_that_has_a_value_can_not_be_skipped(run, session, status):
    run("record", session, "compression.pressure@PTO=800", "belt.width=32")
    ran = run("skip", session, "compression.pressure@PTO", "--why", "no gauge")
    assert (ran.status, ran.err.count("\n")) == (1, 1)
    assert "compression.pressure@PTO has a value, 800 kPa; correct it" in ran.err
    assert run("skip", session, "compression.pressure", "--why", "no gauge").status == 0
    assert run("skip", session, "belt", "--why", "cracks not seen").status == 0
    assert step(status(session), "belt") == "skipped"


@pytest.mark.parametrize(
    "value",
    [
        "belt.width=", "belt.width=nan", "belt.width=inf", "belt.width=1/0", "belt.width=1e400",
        "belt.width=1 18", "belt.width=3 kPa", "belt.width=" + "9" * 5000, "belt.width=nonsense",
        "belt.width@PTO=31", "belt.height=31", "belts.width=31", "main-jet.stamp=240",
        "main-jet.stamp@left=240", "belt.width", "=", "brake.holds=maybe",
    ],
    ids=lambda value: value[:30],
)  # fmt: skip
def test_what_can_not_be_taken(run, session, status, value):
    ran = run("record", session, value)
    assert ran.status == 2
    assert ran.out == ""
    assert len(ran.err.strip().splitlines()) == 1
    assert "Traceback" not in ran.err
    assert status(session)["readings"] == []


def test_corrections_stand_and_stay_readable(run, session, status, definitions):
    run("record", session, "belt.width=30")
    run("record", session, "belt.width=33")
    assert reading(status(session), "belt", "width")["value"] == 33
    log = definitions.log(session).read_text()
    assert 'entered = "30"' in log and 'entered = "33"' in log


def test_a_slip_that_is_corrected_before_it_was_decided_leaves_no_finding(run, session, status):
    run("record", session, "belt.width=30")
    assert finding(status(session), "belt.width")["open"] is True
    run("record", session, "belt.width=33")
    assert finding(status(session), "belt.width") is None
    told = run("export", session, "--to", "md", "--with-log").out
    assert "belt.width as found: 30" in told  # the log has it


def test_a_finding_that_was_decided_stays_listed_and_is_closed(run, session, status):
    run("record", session, "belt.width=30")
    run("decide", session, "belt.width", "later", "--until", "2030-01-01")
    run("record", session, "belt.width=33")
    assert finding(status(session), "belt.width")["open"] is False


def test_steps_and_skips(run, session, status):
    state = status(session)
    assert step(state, "fan") == "not-needed"
    assert step(state, "belt") == "open"
    assert run("skip", session, "belt", "--why", "no caliper here").status == 0
    assert step(status(session), "belt") == "skipped"
    run("record", session, "belt.width=33")
    assert step(status(session), "belt") == "open"
    run("skip", session, "belt.cracks", "--why", "too dark")
    assert step(status(session), "belt") == "done"
    assert run("skip", session, "belts", "--why", "x").status == 2
    assert run("skip", session, "belt", "--why", " ").status == 2


def test_exchanged_needles_are_noticed(run, session, status):
    run("record", session, "main-jet.needle@PTO=6L", "main-jet.needle@centre=6K",
        "main-jet.needle@MAG=6M")  # fmt: skip
    found = finding(status(session), "X.main-jet")
    assert found is not None and found["open"] is True
    assert "PTO" in found["text"] and "centre" in found["text"] and "MAG" not in found["text"]


def test_one_out_of_family(run, session, status):
    run("record", session, "compression.pressure@PTO=900", "compression.pressure@centre=905",
        "compression.pressure@MAG=750")  # fmt: skip
    names = [row["id"] for row in status(session)["findings"]]
    assert "O.compression.pressure@MAG" in names
    assert "O.compression.pressure@PTO" not in names


def test_spread_across_cylinders(run, session, status):
    run("record", session, "compression.pressure@PTO=1000", "compression.pressure@centre=1000",
        "compression.pressure@MAG=1000")  # fmt: skip
    (row,) = status(session)["derived"]
    assert (row["id"], row["cylinder"], row["phase"]) == ("between", None, "as-found")
    assert row["value"] == 0
    run("record", session, "--as-left", "compression.pressure@MAG=900")
    rows = status(session)["derived"]
    assert [(row["phase"], row["value"]) for row in rows] == [("as-found", 0), ("as-left", 10)]


def test_inference_speaks_and_falls_silent(run, session, status):
    run("record", session, "belt.width=30", "belt.cracks=surface")
    assert finding(status(session), "I.slip")["open"] is True
    run("record", session, "--as-left", "belt.width=33")
    found = finding(status(session), "I.slip")
    assert found is not None and found["open"] is False


def test_put_right_counts_once_it_passes(run, session, status):
    run("record", session, "belt.width=30", "belt.cracks=none")
    run("decide", session, "belt.width", "put-right")
    assert finding(status(session), "belt.width")["open"] is True
    run("record", session, "--as-left", "belt.width=33")
    found = finding(status(session), "belt.width")
    assert (found["open"], found["decision"]) == (False, "put-right")


def test_a_decision_holds_for_its_value(run, session, status):
    run("record", session, "belt.width=30")
    run("decide", session, "belt.width", "run-as-found", "--why", "spare is worse")
    assert finding(status(session), "belt.width")["open"] is False
    run("record", session, "belt.width=29")
    assert finding(status(session), "belt.width")["open"] is True


def test_later_takes_a_date_an_event_or_neither(run, session):
    run("record", session, "belt.width=30")
    assert run("decide", session, "belt.width", "later").status == 0
    assert run("decide", session, "belt.width", "later", "--until", "soon").status == 2
    assert run("decide", session, "belt.width", "later", "--until", "2027-02-30").status == 2
    assert run("decide", session, "belt.width", "later", "--until", "short").status == 0
    assert run("decide", session, "belt.width", "later", "--until", "2026-12-20").status == 0
    assert run("decide", session, "belt.width", "forget").status == 2
    assert run("decide", session, "belt.height", "later", "--until", "2026-12-20").status == 2


def test_sign_off(run, session, status, definitions):
    ran = run("sign", session, "--by", "R. Tester")
    assert ran.status == 1
    assert "belt" in ran.err and "brake" in ran.err
    finish(run, session)
    assert status(session)["findings"] == []
    ran = run("sign", session, "--by", "R. Tester")
    assert ran.status == 0, ran.err
    assert status(session)["state"] == "signed"
    assert run("record", session, "belt.width=34").status == 1
    assert run("note", session, "belt", "late").status == 1
    assert run("sign", session, "--by", "X").status == 1
    assert run("addendum", session, "Ran well.").status == 0
    assert run("verify", session).status == 0
    assert "Ran well." in run("export", session, "--to", "md").out


def test_a_failed_safety_step_is_accepted_by_itself_in_words(run, session, status, definitions):
    finish(run, session)
    run("record", session, "brake.holds=no")
    run("decide", session, "brake.holds", "run-as-found")
    ran = run("sign", session, "--by", "R. Tester")
    assert ran.status == 1 and "brake" in ran.err.lower()
    words = "Yard only, never on the road."
    signing = ("sign", session, "--by", "R. Tester")
    assert run(*signing, "--accept-open", words).status == 1
    for accepted in ("brake", "brake=", "brakes=x", "belt=x", "=x"):
        ran = run(*signing, "--accept-open", words, "--accept", accepted)
        assert ran.status == 2, accepted
    assert status(session)["state"] == "open"
    assert run(*signing, "--accept", f"brake={words}").status == 0
    for form in ("md", "html", "csv", "json"):
        out = run("export", session, "--to", form).out
        assert words in out.replace("\\", ""), form
        assert "Brake" in out


def test_addendum_only_after_signing(run, session):
    assert run("addendum", session, "early").status == 1


def test_persons_finding_note_and_added_step(run, session, status):
    ran = run("add-finding", session, "belt", "rubs on the guard", "--cylinder", "PTO")
    assert (ran.status, ran.out.strip()) == (0, "F1")
    assert run("add-finding", session, "belt", "again").out.strip() == "F2"
    ran = run("add-step", session, "drive", "Guard gap", "--unit", "mm")
    assert (ran.status, ran.out.strip()) == (0, "added-1")
    assert run("record", session, "added-1.value=4,5").status == 0
    assert reading(status(session), "added-1", "value")["value"] == 4.5
    assert run("add-step", session, "nowhere", "x").status == 2
    assert run("add-step", session, "drive", "x", "--unit", "furlongs per").status == 2
    assert run("note", session, "belt", "glazed").status == 0
    assert run("note", session, "belts", "glazed").status == 2


def test_absent_things(run, definitions):
    assert run("new", "shorts", "test-bed", "--by", "x").status == 2
    assert run("new", "short", "test", "--by", "x").status == 2
    assert run("status", "no-such").status == 2
    assert run("record", "no-such", "a.b=1").status == 2
    assert run("frobnicate").status == 2
    assert run("status").status == 2
    assert run("verify", "no-such").status == 2


def test_store_before_or_after(run, session, definitions):
    assert run("--store", definitions.store, "status", session).status == 0
    assert run("status", session, "--store", definitions.store).status == 0
    assert run("status", session, "--store", definitions.store / "other").status == 2


def test_as_found_and_as_left_are_two(run, session, status):
    run("record", session, "belt.width=30")
    run("record", session, "--as-left", "--gauge", "caliper", "belt.width=33")
    state = status(session)
    assert reading(state, "belt", "width")["verdict"] == "fail"
    assert reading(state, "belt", "width", phase="as-left")["verdict"] == "pass"


def test_verify_says_no_to_a_changed_log(run, session, definitions):
    run("record", session, "belt.width=33")
    path = definitions.log(session)
    path.write_bytes(path.read_bytes().replace(b'entered = "33"', b'entered = "34"'))
    ran = run("verify", session)
    assert ran.status == 1
    assert run("record", session, "belt.cracks=none").status == 1
    assert run("status", session).status == 0


def test_torn_tail_is_put_aside_by_the_writer(run, session, definitions):
    path = definitions.log(session)
    with path.open("ab") as file:
        file.write(b"[[entry]]\nn = 1\nkind = ")
    assert run("verify", session).status == 1
    ran = run("status", session)
    assert ran.status == 0 and ran.err
    ran = run("record", session, "belt.width=33")
    assert ran.status == 0 and "torn" in ran.err
    assert (path.parent / f"{session}.torn").read_bytes().startswith(b"[[entry]]")
    assert run("verify", session).status == 0


def test_a_probable_slip_is_stored_and_questioned(run, session, status):
    ran = run("record", session, "belt.width=1,25")
    assert ran.status == 0
    assert "?" in ran.err
    assert reading(status(session), "belt", "width")["value"] == 1.25


def test_a_value_that_moved_by_itself_is_questioned(run, session):
    run("record", session, "compression.pressure@PTO=900")
    ran = run("record", session, "--as-left", "compression.pressure@PTO=905")
    assert ran.status == 0 and ran.err == ""
    ran = run("record", session, "--as-left", "compression.pressure@PTO=1000")
    assert ran.status == 0 and "was something changed?" in ran.err


def test_repeats_give_the_mean_and_its_uncertainty(run, session, status):
    run("record", session, "belt.width=31.6; 31.7; 31.5")
    row = reading(status(session), "belt", "width")
    assert row["value"] == pytest.approx(31.6)
    assert row["verdict"] == "uncertain"


def test_what_a_reading_brings_out_is_said_at_once(run, session):
    ran = run("record", session, "compression.pressure@PTO=900", "compression.pressure@centre=905",
              "compression.pressure@MAG=700")  # fmt: skip
    assert "Noticed: compression.between" in ran.out
    assert "Noticed: O.compression.pressure@MAG" in ran.out


def test_a_thousands_comma_is_questioned(run, session, status):
    ran = run("record", session, "belt.width=1,500")
    assert ran.status == 0 and "decimal comma" in ran.err
    ran = run("record", session, "belt.width=33,125")
    assert ran.status == 0 and "comma" not in ran.err


def test_a_bare_fraction_in_a_metric_reading_is_questioned(run, session, status):
    ran = run("record", session, "belt.width=1-11/32")
    assert ran.status == 0 and "write 1-11/32 in" in ran.err
    assert reading(status(session), "belt", "width")["value"] == 1.34375


def test_a_printed_caution_is_not_called_confirmed(run, session):
    run("record", session, "belt.width=33")
    assert "shown by a command" in run("export", session, "--to", "md").out


def test_the_side_that_is_there_still_judges(places, run, status):
    (places.checklists / "half.toml").write_text(
        'id = "half"\ntitle = "H"\n[[section]]\nid = "s"\ntitle = "S"\n[[section.step]]\n'
        'id = "plug"\ntitle = "Plug"\n[[section.step.reading]]\nid = "gap"\nlabel = "Gap"\n'
        'kind = "number"\nunit = "mm"\nlimit = { min = "spec.gap_min", max = "spec.gap_max" }\n'
    )
    (places.machines / "old.toml").write_text(
        'id = "old"\nname = "Old"\ncylinders = ["A"]\n[spec]\ngap_max = "0.5 mm"\n'
    )
    session = run("new", "half", "old", "--by", "X").out.strip()
    run("record", session, "plug.gap=0.45")
    assert reading(status(session), "plug", "gap")["verdict"] == "none"
    run("record", session, "plug.gap=28")
    assert reading(status(session), "plug", "gap")["verdict"] == "fail"


def test_the_gauge_s_own_word_counts(run, session, status):
    run("record", session, "belt.width=31.6")
    assert reading(status(session), "belt", "width")["verdict"] == "uncertain"
    run("record", session, "--gauge", "micrometer ±0.02 mm", "belt.width=31.6")
    assert reading(status(session), "belt", "width")["verdict"] == "pass"
    # JCGM 100:2008, F.2.2.1: a division of 1 mm is a rectangle of half a millimetre either way.
    run("record", session, "--gauge", "rule, resolution 1 mm", "belt.width=32")
    row = reading(status(session), "belt", "width")
    assert row["verdict"] == "pass"  # 0.5 mm inside
    run("record", session, "--gauge", "rule, resolution 1 mm", "belt.width=31.9")
    assert reading(status(session), "belt", "width")["verdict"] == "uncertain"


def test_a_gauge_that_can_t_be_used_is_said_and_the_list_s_word_stands(run, session, status):
    ran = run("record", session, "--gauge", "micrometer ±0.02 kPa", "belt.width=31.6")
    assert ran.status == 0
    assert "is not used" in ran.err
    assert reading(status(session), "belt", "width")["verdict"] == "uncertain"


def test_an_exchange_shows_the_stamps_as_written(run, session):
    run("record", session, "main-jet.needle@PTO=6L", "main-jet.needle@centre=6k",
        "main-jet.needle@MAG=6M")  # fmt: skip
    said = run("export", session, "--to", "md").out
    assert "Needle, centre: found 6k, sheet 6L" in said
