"""verify and sign --key: seals that were noted, signatures, exports."""

from __future__ import annotations

import json
import re
import shutil
import subprocess

import pytest

from inspect_tui.core.presentation import wording
from inspect_tui.files.log import writer as log
from inspect_tui.files.log.block import block, seal_line, seal_of
from inspect_tui.files.signing import openssh, signatures
from tests.ssh_keys import make_key, needs_keygen, ssh_sign

ALL_OF_IT = ("--accept-open", "all of it", "--accept", "brake=all of it")
FORMS = ("md", "html", "csv", "json", "pdf")


@pytest.fixture
def key(tmp_path):
    """A person's key, and the allowed-signers file that names it."""
    path = tmp_path / "key"
    line = make_key(path)
    (tmp_path / "signers").write_text(
        f'kari@example.org namespaces="signature@inspect-tui" {line}\n'
    )
    return path


def sign(run, session, *more):
    ran = run("sign", session, "--by", "K. Signer", *ALL_OF_IT, *more)
    assert ran.status == 0, ran.err
    return ran


def rebuilt(path, change):
    """The log written anew from its first entry, as its owner can: every seal holds."""
    entries = log.read(path).entries
    data, seal = b"", b""
    for entry in entries:
        each = change(block(entry))
        seal = seal_of(seal, each).encode()
        data += each + seal_line(seal.decode())
    path.write_bytes(data)


# --- the noted seal ------------------------------------------------------------------------------


def test_the_seal_that_sign_shows_compares(run, session):
    shown = re.search(r"Seal ((?:[0-9a-f]{4} ?){4})", sign(run, session).out)[1].strip()
    full = json.loads(run("verify", session, "--json").out)["signed_seal"]
    assert full.startswith(shown.replace(" ", ""))
    for noted in (shown, full, shown.upper(), shown.replace(" ", "-"), full[:40]):
        ran = run("verify", session, "--seal", noted)
        assert (ran.status, ran.err) == (0, ""), ran.err
        assert "The noted seal is that of entry" in ran.out
    run("addendum", session, "one more thing")
    ran = run("verify", session, "--seal", shown)
    assert ran.status == 0
    assert "1 entry came after it" in ran.out


def test_the_last_seal_of_an_export_compares_too(run, session):
    sign(run, session)
    run("addendum", session, "one more thing")
    text = run("export", session, "--to", "md").out
    shown = re.search(r"last seal begins ([0-9a-f ]+)\.", text)[1]
    assert run("verify", session, "--seal", shown).status == 0


def test_a_rebuilt_log_holds_in_itself_and_not_against_the_noted_seal(run, session, places):
    sign(run, session)
    noted = json.loads(run("verify", session, "--json").out)["signed_seal"]
    rebuilt(places.log(session), lambda each: each.replace(b"R. Tester", b"R. Cheater"))
    assert run("verify", session).status == 0
    ran = run("verify", session, "--seal", noted)
    assert ran.status == 1
    assert "is in no entry" in ran.err
    assert "rebuilt" in ran.err


def test_an_open_log_that_went_on_says_so(run, session):
    seal = json.loads(run("verify", session, "--json").out)["seal"]
    assert run("verify", session, "--seal", seal).status == 0
    run("note", session, "belt", "more")
    ran = run("verify", session, "--seal", wording.short_seal(seal))
    assert ran.status == 1
    assert "that of entry 0, not of the last: 1 entry came after it" in ran.err


@pytest.mark.parametrize("noted", ["", "1a2b", "1a2b 3c4d 5e6f 708", "0" * 65, "g" * 16, "🛠" * 16])
def test_what_is_no_seal_is_wrong_input(run, session, noted):
    ran = run("verify", session, "--seal", noted)
    assert ran.status == 2
    assert "is no seal" in ran.err


# --- signatures ----------------------------------------------------------------------------------


def test_a_signature_goes_right_after_the_sign_off(run, session, key, places):
    ran = sign(run, session, "--key", key)
    mark = signatures.fingerprint((key.parent / "key.pub").read_text())
    assert mark in ran.out
    entries = log.read(places.log(session)).entries
    signed, signature = entries[-2:]
    assert (signed.kind, signature.kind) == ("signed", "signature")
    assert (signature.get("of"), signature.get("of_seal")) == (signed.n, signed.seal)
    assert signature.get("namespace") == "signature@inspect-tui"
    alone = run("verify", session)
    assert alone.status == 0
    assert f"good signature by the key {mark}; whose key that is" in alone.out
    named = run("verify", session, "--signers", key.parent / "signers")
    assert named.status == 0
    assert f"by the key of kari@example.org ({mark})" in named.out


def test_a_signed_session_takes_the_signature_alone(run, session, key, places):
    sign(run, session)
    before = places.log(session).read_bytes()
    ran = run("sign", session, "--by", "K. Signer", "--key", key)
    assert ran.status == 0, ran.err
    assert places.log(session).read_bytes().startswith(before)
    kinds = [entry.kind for entry in log.read(places.log(session)).entries]
    assert kinds[-2:] == ["signed", "signature"]
    assert run("verify", session, "--signers", key.parent / "signers").status == 0
    again = run("sign", session, "--by", "K. Signer")
    assert again.status == 1
    assert "can't be changed" in again.err


@needs_keygen
def test_openssh_alone_checks_it_as_the_readme_says(run, session, key, places, tmp_path):
    sign(run, session, "--key", key)
    signed, signature = log.read(places.log(session)).entries[-2:]
    (tmp_path / "made.sig").write_text(signature.get("signature"))
    done = subprocess.run(
        ["ssh-keygen", "-Y", "verify", "-f", tmp_path / "signers", "-I", "kari@example.org",
         "-n", "signature@inspect-tui", "-s", tmp_path / "made.sig"],
        input=f"{signed.seal}\n".encode(), capture_output=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr


def test_a_rebuilt_log_does_not_hold_against_its_signature(run, session, key, places):
    sign(run, session, "--key", key)
    rebuilt(places.log(session), lambda each: each.replace(b"R. Tester", b"R. Cheater"))
    ran = run("verify", session)
    assert ran.status == 1
    assert "names another seal than that of the sign-off" in ran.err
    # The cheater mends the entry's own words too; the signature can't be mended.
    seal = json.loads(run("verify", session, "--json").out)["signed_seal"]
    rebuilt(
        places.log(session),
        lambda each: re.sub(rb'of_seal = "\w+"', b'of_seal = "%s"' % seal.encode(), each),
    )
    ran = run("verify", session)
    assert ran.status == 1
    assert "does not hold for the sign-off" in ran.err


def test_another_key_or_nobody_on_the_list_is_no(run, session, key, tmp_path):
    sign(run, session, "--key", key)
    other = make_key(tmp_path / "other")
    for text in (
        "",
        f"ola {other}\n",
        f'kari namespaces="git" {(tmp_path / "key.pub").read_text()}',
    ):
        (tmp_path / "others").write_text(text)
        ran = run("verify", session, "--signers", tmp_path / "others")
        assert ran.status == 1
        assert "holds, but is by nobody who may sign" in ran.err


def test_signers_without_a_signature_or_without_a_file(run, session, tmp_path, key):
    sign(run, session)
    ran = run("verify", session, "--signers", tmp_path / "signers")
    assert ran.status == 1
    assert "no signature" in ran.err
    assert run("verify", session, "--signers", tmp_path / "none").status == 2


@pytest.mark.parametrize("kind", ["other type", "absent", "text", "folder"])
def test_a_key_that_cannot_sign_leaves_the_session_open(run, session, tmp_path, kind, status):
    path = tmp_path / "bad"
    if kind == "other type":
        make_key(path, kind="ecdsa")
    elif kind == "text":
        path.write_text("hello\n")
        path.chmod(0o600)
    elif kind == "folder":
        path.mkdir()
    before = status(session)
    ran = run("sign", session, "--by", "K", *ALL_OF_IT, "--key", path)
    assert ran.status in (1, 2)
    assert len(ran.err.splitlines()) == 1
    assert status(session) == before
    assert run("verify", session).out.count("whole, 1 entry") == 1


def test_without_openssh_nothing_is_signed_with_a_key_and_nothing_called_good(
    run, session, key, monkeypatch, tmp_path
):
    with monkeypatch.context() as without:
        without.setattr(openssh, "program", lambda: None)
        ran = run("sign", session, "--by", "K", *ALL_OF_IT, "--key", key)
        assert ran.status == 2
        assert "openssh-client" in ran.err
        assert run("verify", session).out.count("whole, 1 entry") == 1
    sign(run, session, "--key", key)
    monkeypatch.setattr(openssh, "program", lambda: None)
    ran = run("verify", session)
    assert (ran.status, ran.out) == (1, "")
    assert "couldn't be checked: OpenSSH's ssh-keygen is not installed" in ran.err
    (row,) = json.loads(run("verify", session, "--json").out)["signatures"]
    assert (row["good"], row["checked"]) == (False, False)
    # Carrying a log on doesn't wait for it.
    assert run("pack", session, "-o", tmp_path / "s.zip").status == 0
    ran = run("--store", tmp_path / "elsewhere", "receive", tmp_path / "s.zip")
    assert ran.status == 0
    assert "couldn't be checked" in ran.out


@pytest.mark.skipif(shutil.which("ssh-agent") is None, reason="ssh-agent is not installed")
@needs_keygen
def test_the_agent_signs_where_the_private_half_is_there_alone(run, session, key, monkeypatch):
    said = subprocess.run(["ssh-agent", "-s"], capture_output=True, text=True, check=True).stdout
    agent = dict(re.findall(r"(SSH_\w+)=([^;]+);", said))
    try:
        monkeypatch.setenv("SSH_AUTH_SOCK", agent["SSH_AUTH_SOCK"])
        subprocess.run(["ssh-add", "-q", key], check=True, capture_output=True)
        key.unlink()
        sign(run, session, "--key", f"{key}.pub")
    finally:
        subprocess.run(["kill", agent["SSH_AGENT_PID"]], check=False)
    assert run("verify", session, "--signers", key.parent / "signers").status == 0


@pytest.mark.parametrize(
    "spoil",
    [
        lambda keys: {"signature": "x"},
        lambda keys: {"signature": 5},
        lambda keys: {"public_key": "ssh-ed25519 AAAA"},
        lambda keys: {"namespace": "git"},
        lambda keys: {"of": 0},
        lambda keys: {"of_seal": "0" * 64},
    ],
)
def test_a_spoilt_signature_is_named(run, session, key, places, spoil):
    sign(run, session, "--key", key)
    path = places.log(session)
    entries = log.read(path).entries
    last = entries[-1]
    last.keys.update(spoil(last.keys))
    data = path.read_bytes()
    head = data[: data.rindex(b"[[entry]]\n")]
    each = block(last)
    path.write_bytes(head + each + seal_line(seal_of(entries[-2].seal.encode(), each)))
    ran = run("verify", session)
    assert ran.status == 1
    assert f"Entry {last.n}: the signature" in ran.err


def test_a_signature_for_another_purpose_does_not_count(run, session, key, places):
    sign(run, session)
    signed = log.read(places.log(session)).entries[-1]
    made = ssh_sign(key, signatures.message(signed.seal), "git")
    line = " ".join((key.parent / "key.pub").read_text().split()[:2])
    keys = {
        "of": signed.n, "of_seal": signed.seal, "namespace": "signature@inspect-tui",
        "public_key": line, "signature": made,
    }  # fmt: skip
    with log.Writer.open(places.log(session)) as writer:
        entry = log.read(places.log(session)).entries[-1]
        writer.append([type(entry)(0, "signature", entry.at, "K", keys)])
    ran = run("verify", places.log(session))
    assert ran.status == 1
    assert "namespace does not match" in ran.err


# --- exports -------------------------------------------------------------------------------------


@pytest.fixture
def exported(run, session, tmp_path):
    """Every export of a session with a few entries in it."""
    run("record", session, "belt.width=30 mm", "belt.cracks=surface")
    run("note", session, "belt", "| Session | other |\n## Log\nThe log verifies: 1 entries")
    run(
        "add-finding",
        session,
        "belt",
        "The log verifies: 9 entries, last seal begins 0000 0000 0000 0000.",
    )
    for form in FORMS:
        assert run("export", session, "--to", form, "-o", tmp_path / f"report.{form}").status == 0
    return tmp_path


@pytest.mark.parametrize("form", FORMS)
def test_an_export_holds_and_what_came_after_is_counted(run, session, exported, form):
    path = exported / f"report.{form}"
    count = len(log.read(exported / "store" / "sessions" / f"{session}.toml").entries)
    ran = run("verify", path)
    assert (ran.status, ran.err) == (0, "")
    assert f"it says what that said at entry {count - 1}." in ran.out
    run("note", session, "belt", "more")
    ran = run("verify", path)
    assert ran.status == 0
    assert "and 1 entry came after" in ran.out
    data = json.loads(run("verify", path, "--json").out)
    assert (data["kind"], data["whole"]) == (form, True)


@pytest.mark.parametrize("form", FORMS)
def test_an_export_finds_its_log_under_another_name(run, session, exported, form):
    sessions = exported / "store" / "sessions"
    (sessions / f"{session}.toml").rename(sessions / "renamed.toml")
    ran = run("verify", exported / f"report.{form}")
    assert (ran.status, ran.err) == (0, "")
    assert "it says what that said at entry" in ran.out


@pytest.mark.parametrize("form", FORMS)
def test_an_export_with_the_log_at_its_end_holds_too(run, session, exported, form):
    run("note", session, "belt", "x\nevent,\n## Who did what, when\n<h2>Who did what, when</h2>")
    for how in ((), ("--with-log",)):
        path = exported / f"again{len(how)}.{form}"
        run("export", session, "--to", form, "-o", path, *how)
        ran = run("verify", path)
        assert (ran.status, ran.err) == (0, "")
    assert path.read_bytes() != (exported / f"again0.{form}").read_bytes()


@pytest.mark.parametrize("form", FORMS)
def test_any_changed_byte_of_an_export_is_noticed(run, exported, form):
    path = exported / f"report.{form}"
    data = path.read_bytes()
    # Spread over the file; every one of them is compared, so some stand for all.
    for at in [*range(0, len(data), max(1, len(data) // 12)), len(data) - 1]:
        changed = bytearray(data)
        changed[at] ^= 1
        path.write_bytes(bytes(changed))
        assert run("verify", path).status == 1
    for other in (data[:-1], data + b"\n", data[:40] + data[41:]):
        path.write_bytes(other)
        assert run("verify", path).status == 1


def test_where_an_export_parts_from_the_log_is_said(run, exported):
    path = exported / "report.md"
    lines = path.read_text().split("\n")
    at = next(n for n, line in enumerate(lines) if "30 mm" in line)
    lines[at] = lines[at].replace("30 mm", "32 mm")
    path.write_text("\n".join(lines))
    ran = run("verify", path)
    assert ran.status == 1
    assert f"Line {at + 1} is not what this program makes of" in ran.err


@pytest.mark.parametrize("form", FORMS)
def test_without_the_log_an_export_proves_nothing(run, session, exported, form):
    path = exported / f"report.{form}"
    elsewhere = exported / "elsewhere"
    ran = run("verify", path, "--store", elsewhere)
    assert ran.status == 1
    assert f"of the session {session}" in ran.err
    assert "can't be checked" in ran.err
    shutil.copy(exported / "store" / "sessions" / f"{session}.toml", exported)
    assert run("verify", path, "--store", elsewhere).status == 0


def test_an_export_of_a_log_that_was_rebuilt_or_broken(run, session, exported, places):
    path = places.log(session)
    good = path.read_bytes()
    rebuilt(path, lambda each: each.replace(b"R. Tester", b"R. Cheater"))
    ran = run("verify", exported / "report.json")
    assert ran.status == 1
    assert "is in no entry" in ran.err
    path.write_bytes(good.replace(b"R. Tester", b"R. Cheater", 1))
    ran = run("verify", exported / "report.json")
    assert ran.status == 1
    assert f"The log {path.name}: Entry 0" in ran.err


@pytest.mark.parametrize(
    "text",
    [
        b"# A title\n", b"{}", b'{"session": 1, "report": {"log": {"last_seal": 2}}}', b"{" * 9999,
        b"<!doctype html>", b"row,section,step\n", b"%PDF-1.3\n", b"\xff\xfe", b"",
        b'{"session": "../../etc", "report": {"log": {"last_seal": "' + b"0" * 64 + b'"}}}',
    ],
)  # fmt: skip
def test_what_is_neither_log_nor_export_is_refused(run, tmp_path, text):
    path = tmp_path / "odd"
    path.write_bytes(text)
    ran = run("verify", path)
    assert ran.status == 1
    assert len(ran.err.splitlines()) == 1


def test_the_signature_of_an_exports_log_is_checked_with_it(run, session, key, tmp_path):
    sign(run, session, "--key", key)
    run("export", session, "--to", "html", "-o", tmp_path / "r.html")
    ran = run("verify", tmp_path / "r.html", "--signers", tmp_path / "signers")
    assert ran.status == 0
    assert "good signature by the key of kari@example.org" in ran.out
