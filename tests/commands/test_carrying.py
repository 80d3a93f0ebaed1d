"""Two laptops: packed there and back, copies carried on, forks named and combined."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest

from inspect_tui.files.log import writer as log
from inspect_tui.files.log.block import block
from inspect_tui.files.signing import signatures
from inspect_tui.files.store import Store
from inspect_tui.workflow import transfer
from tests import pictures
from tests.campaigns.changes import sealed
from tests.ssh_keys import make_key, ssh_sign

AS_IT_IS = ("--accept-open", "as it is", "--accept", "brake=as it is")


@pytest.fixture
def other(tmp_path):
    """The store of the other laptop."""
    return Store(tmp_path / "other")


@pytest.fixture
def there(run, other):
    """Run a command on the other laptop."""

    def go(*arguments):
        return run("--store", other.store, *arguments)

    return go


@pytest.fixture
def picture(tmp_path):
    path = tmp_path / "IMG_1.jpg"
    path.write_bytes(pictures.with_metadata())
    return path


@pytest.fixture
def carried(session, run, there, picture, tmp_path):
    """A session with a photo that lies on both laptops."""
    assert run("photo", session, "belt", picture).status == 0
    path = tmp_path / "first.zip"
    assert run("pack", session, "-o", path).status == 0
    ran = there("receive", path)
    assert ran.status == 0, ran.err
    return session


def whole(ran):
    assert ran.status == 0, ran.err
    return ran


def test_what_was_taken_before_another_session_was_refused_stays_whole(
    carried, definitions, other, run, there, picture, tmp_path
):
    """The second one is open in a window there."""
    whole(run("new", "short", "test-bed", "--by", "R. Tester"))
    # In a bundle they stand by their files' names.
    names = sorted(path.name for path in definitions.sessions.glob("*.toml"))
    first, second = (name.removesuffix(".toml") for name in names)
    assert second == carried
    whole(run("pack", first, "-o", tmp_path / "first-too.zip"))
    whole(there("receive", tmp_path / "first-too.zip"))
    for shade, session in ((10, first), (20, second)):
        picture.write_bytes(pictures.saved("JPEG", pictures.drawn(shade=shade)))
        whole(run("photo", session, "belt", picture))
    whole(run("pack", "test-bed", "-o", tmp_path / "both.zip"))
    with log.Writer.open(other.log(second)):
        refused = there("receive", tmp_path / "both.zip")
    assert refused.status != 0
    assert f"Before that: {first} goes on with 1 entry more" in " ".join(refused.err.split())
    assert other.log(first).read_bytes() == definitions.log(first).read_bytes()
    assert there("verify", first).status == 0
    whole(there("receive", tmp_path / "both.zip"))
    assert other.log(second).read_bytes() == definitions.log(second).read_bytes()


def test_a_picture_that_another_log_names_meanwhile_outlives_a_refused_bundle(
    carried, run, there, other, picture, tmp_path, monkeypatch
):
    """Whoever takes the same picture finds it there, and says saved; then the bundle is refused."""
    mine = whole(there("new", "short", "test-bed", "--by", "B. Other")).out.strip()
    picture.write_bytes(pictures.saved("JPEG", pictures.drawn(shade=30)))
    whole(run("photo", carried, "belt", picture))
    whole(run("pack", carried, "-o", tmp_path / "again.zip"))
    real = transfer._bring_definitions

    def meanwhile(*rest):
        whole(there("photo", mine, "belt", picture))
        return real(*rest)

    monkeypatch.setattr(transfer, "_bring_definitions", meanwhile)
    with log.Writer.open(other.log(carried)):  # open in a window there
        assert there("receive", tmp_path / "again.zip").status == 1
    whole(there("verify", mine))


def test_a_bundle_brings_everything(carried, definitions, other, there, run, tmp_path):
    assert other.log(carried).read_bytes() == definitions.log(carried).read_bytes()
    assert (other.checklists / "short.toml").is_file()
    assert (other.machines / "test-bed.toml").is_file()
    assert len(list(other.photos.iterdir())) == 1
    assert whole(there("verify", carried))
    again = whole(there("receive", tmp_path / "first.zip"))
    assert "here already, entry for entry" in again.out
    assert "is another one than the session" not in again.out  # each is what it was opened with
    assert "whole, 2 entries" in whole(run("verify", tmp_path / "first.zip")).out


def test_a_machines_sessions_go_together(session, run, there, tmp_path):
    second = whole(run("new", "short", "test-bed", "--by", "R. Tester")).out.strip()
    path = tmp_path / "all.zip"
    assert "2 sessions" in whole(run("pack", "test-bed", "-o", path)).err
    taken = whole(there("receive", path)).out
    assert session in taken and second in taken
    assert run("pack", "test-bed", "-o", path).status == 1
    assert run("pack", "nothing", "-o", tmp_path / "n.zip").status == 2


def test_what_to_pack_is_named_as_everywhere(session, run, definitions, tmp_path):
    """An exact machine first, then an exact session, then a beginning; `last` too (design, 5)."""
    second = whole(run("new", "short", "test-bed", "--by", "R. Tester")).out.strip()
    for number, (word, named) in enumerate(
        [(session, "1 session"), ("last", "1 session"), (second, "1 session"),
         ("test-bed", "2 sessions")]
    ):  # fmt: skip
        assert named in whole(run("pack", word, "-o", tmp_path / f"{number}.zip")).err
    several = run("pack", session[:10], "-o", tmp_path / "several.zip")
    assert several.status == 2 and "is the beginning of 2 sessions" in several.err
    definitions.log(second).unlink()
    assert "1 session," in whole(run("pack", session[:10], "-o", tmp_path / "begun.zip")).err
    near = run("pack", "test-bet", "-o", tmp_path / "near.zip")
    assert near.status == 2 and "Did you mean test-bed?" in near.err
    (definitions.machines / "test-bed.toml").unlink()
    assert "1 session," in whole(run("pack", "test-bed", "-o", tmp_path / "bare.zip")).err
    (definitions.machines / "idle.toml").write_text(
        'id = "idle"\nname = "Idle"\ncylinders = ["PTO"]\n', encoding="utf-8"
    )
    idle = run("pack", "idle", "-o", tmp_path / "idle.zip")
    assert idle.status == 2 and "The machine idle has no session." in idle.err


def test_a_copy_that_goes_on_there_is_taken_back(carried, run, there, definitions, other, tmp_path):
    whole(there("note", carried, "belt", "from there", "--by", "B. Other"))
    whole(there("pack", carried, "-o", tmp_path / "back.zip"))
    assert "goes on with 1 entry more" in whole(run("receive", tmp_path / "back.zip")).out
    assert definitions.log(carried).read_bytes() == other.log(carried).read_bytes()
    assert "with 1 entry more" in whole(run("receive", tmp_path / "first.zip")).out


def test_another_definition_under_the_same_id_stays(carried, there, run, other, tmp_path):
    mine = other.checklists / "short.toml"
    mine.write_text(mine.read_text().replace("Short look", "My own look"))
    kept = mine.read_bytes()
    assert (
        "another checklist short here, which stays"
        in whole(there("receive", tmp_path / "first.zip")).out
    )
    assert mine.read_bytes() == kept


def forked(carried, run, there):
    whole(run("record", carried, "main-jet.stamp@PTO=240", "belt.cracks=none"))
    whole(run("add-finding", carried, "belt", "found here"))
    whole(there("record", carried, "main-jet.stamp@MAG=250", "--by", "B. Other"))
    whole(there("add-finding", carried, "belt", "found there", "--by", "B. Other"))


def test_a_fork_is_named_and_nothing_is_taken(carried, run, there, definitions, tmp_path):
    forked(carried, run, there)
    whole(there("pack", carried, "-o", tmp_path / "fork.zip"))
    before = definitions.log(carried).read_bytes()
    ran = run("receive", tmp_path / "fork.zip")
    assert ran.status == 1
    assert "went on in both places after entry 1" in ran.err
    assert "found here" in ran.err and "found there" in ran.err
    assert f"inspect-tui combine {carried}" in ran.err
    assert definitions.log(carried).read_bytes() == before


def test_a_fork_is_combined_and_both_laptops_agree_again(
    carried, run, there, definitions, other, status, tmp_path, picture
):
    forked(carried, run, there)
    second = tmp_path / "IMG_2.heic"
    second.write_bytes(pictures.HEIC)
    whole(there("photo", carried, "belt", second, "--by", "B. Other"))
    theirs = other.log(carried).read_bytes()
    ours = definitions.log(carried).read_bytes()
    whole(there("pack", carried, "-o", tmp_path / "fork.zip"))
    assert run("combine", carried, tmp_path / "fork.zip").status == 2
    ran = whole(run("combine", carried, tmp_path / "fork.zip", "--by", "R. Tester"))
    assert "Combined after entry 1" in ran.out
    log = definitions.log(carried).read_bytes()
    assert log.startswith(ours)
    assert "whole" in whole(run("verify", carried)).out
    found = status(carried)
    values = {(row["reading"], row["cylinder"]): row["value"] for row in found["readings"]}
    assert values["stamp", "PTO"] == 240
    assert values["stamp", "MAG"] == 250
    texts = {one["id"]: one["text"] for one in found["findings"]}
    assert texts["F1"] == "found here"
    assert texts["F2"] == "found there"
    again = whole(run("combine", carried, tmp_path / "fork.zip", "--by", "R. Tester"))
    assert "Nothing to combine" in again.out
    whole(run("pack", carried, "-o", tmp_path / "combined.zip"))
    taken = whole(there("receive", tmp_path / "combined.zip"))
    assert "goes on as the combined log" in taken.out
    assert other.log(carried).read_bytes() == log
    assert theirs in {path.read_bytes() for path in other.sessions.glob("*.before-*")}
    assert whole(there("verify", carried))


def test_a_combined_log_combines_again_without_doubling(carried, run, there, tmp_path, other):
    forked(carried, run, there)
    whole(run("combine", carried, other.log(carried), "--by", "R. Tester"))
    whole(there("note", carried, "belt", "meanwhile there", "--by", "B. Other"))
    whole(run("pack", carried, "-o", tmp_path / "combined.zip"))
    assert there("receive", tmp_path / "combined.zip").status == 1
    whole(there("combine", carried, tmp_path / "combined.zip", "--by", "B. Other"))
    assert whole(there("verify", carried))
    text = whole(there("export", carried, "--to", "csv")).out
    findings = whole(there("status", carried)).out
    assert findings.count("found here") == 1
    assert findings.count("found there") == 1
    assert "meanwhile there" in text
    whole(run("receive", other.log(carried)))


def test_a_signed_log_keeps_what_was_signed(carried, run, there, definitions, other, status):
    forked(carried, run, there)
    whole(run("sign", carried, "--by", "R. Tester", *AS_IT_IS))
    before = status(carried)
    ran = whole(run("combine", carried, other.log(carried), "--by", "R. Tester"))
    assert "what was signed stays" in ran.out
    assert status(carried) == before
    assert whole(run("verify", carried))
    theirs = other.log(carried).read_bytes()
    ran = there("receive", definitions.log(carried))
    assert ran.status == 1
    assert "would count for nothing" in ran.err
    assert other.log(carried).read_bytes() == theirs
    ran = whole(there("combine", carried, definitions.log(carried), "--by", "B. Other"))
    assert "wants its own sign-off" in ran.out
    assert whole(there("verify", carried))
    found = there("status", carried).out
    assert found.count("found here") == found.count("found there") == 1


@pytest.mark.parametrize("mangle", [lambda data: data.replace(b"\n", b"\r\n"), lambda data: data])
def test_a_log_that_came_alone_under_another_name(
    carried, run, definitions, tmp_path, mangle, other
):
    path = tmp_path / "Copy of (1).toml"
    path.write_bytes(mangle(definitions.log(carried).read_bytes()))
    third = Store(tmp_path / "third")
    ran = whole(run("--store", third.store, "receive", path))
    assert third.log(carried).read_bytes() == definitions.log(carried).read_bytes()
    assert ("nothing else was changed" in ran.out) == (b"\r" in path.read_bytes())
    assert "1 photo is named in the log" in ran.out


def test_turned_line_ends_are_told_from_forgery_by_verify(carried, run, definitions, tmp_path):
    data = definitions.log(carried).read_bytes()
    path = tmp_path / "mailed.toml"
    path.write_bytes(data.replace(b"\n", b"\r\n"))
    ran = run("verify", path)
    assert ran.status == 1
    assert "every seal holds" in ran.err
    path.write_bytes(data.replace(b"R. Tester", b"S. Other").replace(b"\n", b"\r\n"))
    ran = run("verify", path)
    assert ran.status == 1
    assert "every seal holds" not in ran.err


def test_a_copy_synced_in_part_or_forged_is_refused(carried, there, other, definitions, tmp_path):
    data = definitions.log(carried).read_bytes()
    before = other.log(carried).read_bytes()
    path = tmp_path / "part.toml"
    path.write_bytes(data[:-50])
    assert there("receive", path).status == 1
    path.write_bytes(data.replace(b"R. Tester", b"S. Other"))
    assert there("receive", path).status == 1
    path.write_bytes(b"no log")
    assert there("receive", path).status == 1
    assert there("receive", tmp_path / "absent.toml").status == 2
    assert other.log(carried).read_bytes() == before


def test_a_refused_bundle_leaves_nothing(session, run, tmp_path, picture, monkeypatch):
    from inspect_tui.errors import NotSaved
    from inspect_tui.files.log import replace as whole_logs

    whole(run("photo", session, "belt", picture))
    whole(run("pack", session, "-o", tmp_path / "b.zip"))
    third = Store(tmp_path / "third")

    def full(path, whole):
        raise NotSaved("The disk is full.")

    monkeypatch.setattr(whole_logs, "import_log", full)
    ran = run("--store", third.store, "receive", tmp_path / "b.zip")
    assert ran.status == 1
    assert not [path for path in third.store.rglob("*") if path.is_file()]


def test_a_changed_bundle_is_named_by_verify_and_take(carried, run, there, tmp_path):
    path = tmp_path / "first.zip"
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)
    assert run("verify", path).status == 1
    assert "is not received" in there("receive", path).err


def test_a_broken_log_here_takes_nothing(carried, run, there, other, tmp_path):
    whole(run("note", carried, "belt", "more"))
    whole(run("pack", carried, "-o", tmp_path / "more.zip"))
    path = other.log(carried)
    path.write_bytes(path.read_bytes().replace(b"R. Tester", b"S. Other"))
    before = path.read_bytes()
    ran = there("receive", tmp_path / "more.zip")
    assert ran.status == 1
    assert "that is here doesn't verify" in ran.err
    assert path.read_bytes() == before


def test_a_signature_of_the_other_side_is_checked_in_the_combined_log(
    carried, run, there, other, tmp_path
):
    make_key(tmp_path / "key")
    forked(carried, run, there)
    signing = ("--by", "B. Other", *AS_IT_IS, "--key", tmp_path / "key")
    ran = whole(there("sign", carried, *signing))
    seal = ran.out.partition("Seal ")[2].splitlines()[0]
    whole(run("combine", carried, other.log(carried), "--by", "R. Tester"))
    ran = whole(run("verify", carried, "--seal", seal))
    assert "carries a good signature by the key" in ran.out
    assert ran.out.count("In the copy that entry") == 2
    assert run("verify", carried, "--seal", "0" * 16).status == 1


def test_a_session_whose_file_was_renamed_here_is_known(carried, run, there, other, tmp_path):
    renamed = other.log("old-sledge")
    other.log(carried).rename(renamed)
    whole(run("note", carried, "belt", "more"))
    whole(run("pack", carried, "-o", tmp_path / "more.zip"))
    assert "goes on with 1 entry more" in whole(there("receive", tmp_path / "more.zip")).out
    assert [path.name for path in other.sessions.glob("*.toml")] == [renamed.name]
    whole(there("note", "old-sledge", "belt", "there"))
    whole(run("note", carried, "belt", "here"))
    ran = there("receive", tmp_path / "more.zip")
    assert "with 1 entry more" in whole(ran).out
    whole(run("pack", carried, "-o", tmp_path / "fork.zip"))
    ran = there("receive", tmp_path / "fork.zip")
    assert "inspect-tui combine old-sledge" in ran.err
    whole(there("combine", "old-sledge", tmp_path / "fork.zip", "--by", "B. Other"))
    assert whole(there("verify", "old-sledge"))


def test_a_log_with_a_false_signature_is_not_taken(
    session, run, there, other, definitions, tmp_path
):
    make_key(tmp_path / "key")
    whole(run("sign", session, "--by", "R", *AS_IT_IS, "--key", tmp_path / "key"))
    path = definitions.log(session)
    entries = log.read(path).entries
    elsewhere = ssh_sign(tmp_path / "key", signatures.message("0" * 64))
    false = entries[-1].keys | {"signature": elsewhere}
    last = replace(entries[-1], keys=false)
    path.write_bytes(sealed(tuple(block(entry) for entry in (*entries[:-1], last))))
    whole(run("pack", session, "-o", tmp_path / "b.zip"))
    for file in (path, tmp_path / "b.zip"):
        ran = there("receive", file)
        assert ran.status == 1
        assert "does not hold for the sign-off" in ran.err
        assert not other.store.exists()
        assert run("verify", file).status == 1


@pytest.mark.parametrize("kind", ["pipe", "folder", "zero", "hole"])
def test_what_is_no_file_is_not_waited_for(kind, session, run, there, other, tmp_path):
    path = {"zero": Path("/dev/zero"), "hole": Path("/dev/null")}.get(kind, tmp_path / kind)
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "folder":
        path.mkdir()
    for ran in (there("receive", path), run("verify", path),
                run("combine", session, path, "--by", "R"),
                run("photo", session, "belt", path), run("verify", session, "--signers", path),
                run("check", path), run("sign", session, "--by", "R", *AS_IT_IS,
                                        "--key", path)):  # fmt: skip
        assert ran.status in (1, 2)
        assert len(ran.err.splitlines()) == 1, ran.err
    assert not other.store.exists()


def test_a_packed_list_that_is_not_the_sessions_own_is_said(
    session, run, there, definitions, tmp_path
):
    path = definitions.checklists / "short.toml"
    own = path.read_text()
    whole(run("pack", session, "-o", tmp_path / "same.zip"))
    assert "another one" not in whole(run("verify", tmp_path / "same.zip")).out
    path.write_text(own.replace("Short look", "Shorter look"))
    words = f"The checklist short in it is another one than the session {session} was opened with"
    assert words in whole(run("pack", session, "-o", tmp_path / "other.zip")).err
    assert words in whole(run("verify", tmp_path / "other.zip")).out
    assert words in whole(there("receive", tmp_path / "other.zip")).out


def test_a_list_that_takes_steps_from_others_goes_as_the_session_has_it(
    run, there, definitions, tmp_path, other
):
    (definitions.checklists / "taker.toml").write_text(
        'id = "taker"\ntitle = "Taker"\n[[section]]\nid = "s"\ntitle = "S"\n'
        '[[section.step]]\nuse = "short:belt"\n'
    )
    taker = whole(run("new", "taker", "test-bed", "--by", "R. Tester")).out.strip()
    assert "another one" not in whole(run("pack", taker, "-o", tmp_path / "t.zip")).err
    whole(there("receive", tmp_path / "t.zip"))
    assert "use =" not in (other.checklists / "taker.toml").read_text()
    assert run("--store", other.store, "check", other.checklists / "taker.toml").status == 0
