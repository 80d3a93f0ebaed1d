"""Signatures by OpenSSH: what its answers are read as, and what is refused before it is asked."""

from __future__ import annotations

import re
import subprocess
from datetime import UTC, datetime

import pytest

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.errors import BadInput, Refused
from inspect_tui.files.signing import openssh, signatures
from inspect_tui.files.signing.openssh import Signers
from tests.ssh_keys import make_key, needs_keygen, ssh_sign

SEAL = "ab" * 32
MESSAGE = signatures.message(SEAL)
AT = datetime(2026, 11, 2, 18, 0, tzinfo=UTC)
# Made once by ssh-keygen of OpenSSH 9.2p1 over SEAL, with SHA-512 and SHA-256.
KEY = "ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAICpAkrZE0oN4bQIbIE0Z75QLKNfkN/rDM8LLgky/ntQQ"
FINGERPRINT = "SHA256:iMWp/hdG8LK5AtS2cFtLH2OOtVqZomJWZwXJO4cPO6Q"
MADE = {
    "sha512": """\
-----BEGIN SSH SIGNATURE-----
U1NIU0lHAAAAAQAAADMAAAALc3NoLWVkMjU1MTkAAAAgKkCStkTSg3htAhsgTRnvlAso1+
Q3+sMzwsuCTL+e1BAAAAAVc2lnbmF0dXJlQGluc3BlY3QtdHVpAAAAAAAAAAZzaGE1MTIA
AABTAAAAC3NzaC1lZDI1NTE5AAAAQHvmK63+HXfkGGlyyrUJ20lyjNP+Ybp4RJidHCnTEQ
BcHKCrWQgUDTPhUz40mnzbxSLulOh3HX0FDni08EANCg0=
-----END SSH SIGNATURE-----
""",
    "sha256": """\
-----BEGIN SSH SIGNATURE-----
U1NIU0lHAAAAAQAAADMAAAALc3NoLWVkMjU1MTkAAAAgKkCStkTSg3htAhsgTRnvlAso1+
Q3+sMzwsuCTL+e1BAAAAAVc2lnbmF0dXJlQGluc3BlY3QtdHVpAAAAAAAAAAZzaGEyNTYA
AABTAAAAC3NzaC1lZDI1NTE5AAAAQKQoOUGJaYnatQjZevdS2nYJRmfRATDxN/amHx4ypN
04ltFF2kzL4LfxPSUrZiSBBWX4u5SYyv7B6gUDs0w2hgE=
-----END SSH SIGNATURE-----
""",
}
TEXT = MADE["sha512"]
FALSE = "echo 'Could not verify signature.'"


def entries(**keys):
    made = {
        "of": 1, "of_seal": SEAL, "namespace": "signature@inspect-tui", "public_key": KEY,
        "signature": TEXT,
    } | keys  # fmt: skip
    return (Entry(1, "signed", AT, "A", {}, SEAL), Entry(2, "signature", AT, "A", made))


def checked(signers=None, **keys):
    (found,) = signatures.check(entries(**keys), signers)
    return found


@needs_keygen
@pytest.mark.parametrize("hashed", MADE)
def test_what_openssh_made_is_good(hashed):
    found = checked(signature=MADE[hashed])
    assert (found.state, found.problem, found.fingerprint) == ("good", "", FINGERPRINT)


@needs_keygen
def test_any_changed_byte_is_noticed():
    for at in range(0, len(TEXT), 17):
        changed = TEXT[:at] + ("A" if TEXT[at] != "A" else "B") + TEXT[at + 1 :]
        assert checked(signature=changed).state == "false", at


@pytest.mark.parametrize(
    "text",
    [
        TEXT + "signed on the moon\n", TEXT + "\n", "\n" + TEXT, TEXT.replace("\n", "\r\n"),
        TEXT * 2, TEXT.rstrip("\n"), TEXT.replace("BEGIN", "BEGUN"), "", "x",
        TEXT.replace("U1NI", "U1N "),
        "-----BEGIN SSH SIGNATURE-----\n-----END SSH SIGNATURE-----\n",
        "A" * 30_000,
    ],
)  # fmt: skip
def test_text_round_the_armor_and_what_is_no_armor_never_reach_openssh(text, monkeypatch):
    monkeypatch.setattr(openssh, "_asked", None)
    found = checked(signature=text)
    assert found.state == "false" and "does not hold" in found.problem


@needs_keygen
@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"signature": 5}, "lacks its signature"), ({"namespace": "git"}, "the namespace 'git'"),
        ({"public_key": "ssh-ed25519"}, "no line such as"), ({"public_key": "a !!"}, "no line"),
        ({"public_key": KEY[:-4] + "AAAA"}, "not by its public_key"), ({"of": 0}, "another seal"),
        ({"of_seal": "0" * 64}, "another seal"),
    ],
)  # fmt: skip
def test_an_entry_that_does_not_fit_its_signature_is_false(keys, words):
    found = checked(**keys)
    assert found.state == "false" and words in found.problem


def test_without_a_sign_off_there_is_nothing_to_sign():
    (found,) = signatures.check(entries()[1:])
    assert "without a sign-off" in found.problem


def test_without_openssh_a_signature_is_not_checked_and_not_false(monkeypatch):
    monkeypatch.setattr(openssh, "program", lambda: None)
    found = checked()
    assert found.state == "unchecked"
    assert "couldn't be checked: OpenSSH's ssh-keygen is not installed" in found.problem
    assert "openssh-client" in found.problem


def test_without_openssh_no_key_signs(tmp_path, monkeypatch):
    monkeypatch.setattr(openssh, "program", lambda: None)
    (tmp_path / "key").write_text("x")
    with pytest.raises(BadInput, match="openssh-client"):
        signatures.make(entries()[0], tmp_path / "key")


@pytest.mark.parametrize(
    ("script", "state", "words"),
    [
        ("echo 'No user exists for uid 4711' >&2; exit 255", "unchecked", "No user exists"),
        ("exit 1", "unchecked", "exit status 1"),
        ("kill -9 $$", "unchecked", "exit status -9"),
        ("exit 0", "unchecked", "exit status 0"),  # good without a word is no answer
        (f"{FALSE}; echo \"Couldn't read signature file\" >&2; exit 255", "unchecked", "Couldn't"),
        (f"{FALSE}; echo 'new words' >&2; exit 255", "false", "new words"),
    ],
)  # fmt: skip
def test_an_openssh_that_cannot_work_is_told_from_a_false_signature(
    script, state, words, tmp_path, monkeypatch
):
    lame = tmp_path / "ssh-keygen"
    lame.write_text(f"#!/bin/sh\n{script}\n")
    lame.chmod(0o700)
    monkeypatch.setattr(openssh, "program", lambda: str(lame))
    found = checked()
    assert (found.state, words in found.problem) == (state, True), found.problem


def test_an_openssh_that_cannot_be_run_is_said_in_words(tmp_path, monkeypatch):
    (tmp_path / "ssh-keygen").write_text("")  # may not be run
    monkeypatch.setattr(openssh, "program", lambda: str(tmp_path / "ssh-keygen"))
    found = checked()
    assert found.state == "unchecked"
    assert "can't be run: no permission" in found.problem


def test_a_program_that_does_not_end_is_ended(tmp_path, monkeypatch):
    slow = tmp_path / "ssh-keygen"
    slow.write_text("#!/bin/sh\nexec sleep 600\n")
    slow.chmod(0o700)
    monkeypatch.setattr(openssh, "program", lambda: str(slow))
    monkeypatch.setattr(openssh, "CHECKING", 0.2)
    found = checked()
    assert found.state == "unchecked" and "did not end within" in found.problem


@needs_keygen
def test_a_signature_for_another_purpose_or_by_another_type_of_key_is_false(tmp_path):
    line = make_key(tmp_path / "key")
    found = checked(public_key=line, signature=ssh_sign(tmp_path / "key", MESSAGE, "git"))
    assert found.state == "false" and "namespace does not match" in found.problem
    other = make_key(tmp_path / "other", kind="ecdsa")
    found = checked(public_key=other, signature=ssh_sign(tmp_path / "other", MESSAGE))
    assert found.state == "false" and "of the type ECDSA" in found.problem


# --- making ---------------------------------------------------------------------------------------


@needs_keygen
def test_what_is_made_is_good_and_a_signature_that_lies_about_is_no_hindrance(tmp_path):
    """`ssh-keygen -Y sign FILE` beside a FILE.sig writes nothing and ends with 0."""
    line = make_key(tmp_path / "key")
    (tmp_path / "key.sig").write_text("in the way")
    signed = entries()[0]
    made = signatures.make(signed, tmp_path / "key")
    assert made["public_key"] == line
    listed = subprocess.run(
        ["ssh-keygen", "-l", "-f", tmp_path / "key.pub"], capture_output=True, text=True, check=True
    )
    assert signatures.fingerprint(line) in listed.stdout
    (found,) = signatures.check((signed, Entry(2, "signature", AT, "A", made)))
    assert found.state == "good"


@needs_keygen
@pytest.mark.parametrize("kind", ["other type", "absent", "text", "folder", "locked", "half"])
def test_a_key_that_cannot_sign_is_said(kind, tmp_path, monkeypatch):
    monkeypatch.setenv("SSH_ASKPASS_REQUIRE", "force")  # nobody is there to type a passphrase
    monkeypatch.setenv("SSH_ASKPASS", "/bin/false")
    monkeypatch.delenv("SSH_AUTH_SOCK", raising=False)
    path = tmp_path / "key"
    if kind == "other type":
        make_key(path, kind="ecdsa")
    elif kind == "text":
        path.write_text("hello\n")
        path.chmod(0o600)
    elif kind == "folder":
        path.mkdir()
    elif kind == "locked":
        make_key(path, passphrase="locked away")
    elif kind == "half":
        make_key(path)
        path.unlink()
        path = tmp_path / "key.pub"
    with pytest.raises((BadInput, Refused)) as caught:
        signatures.make(entries()[0], path)
    assert "\n" not in str(caught.value)


def test_a_program_that_lies_about_signing_records_nothing(tmp_path, monkeypatch):
    (tmp_path / "wrong").write_text(TEXT.replace("U1NIU0lH", "U1NIU0lX"))
    lying = tmp_path / "ssh-keygen"
    lying.write_text(
        f"#!/bin/sh\n[ $2 = sign ] && exec cat '{tmp_path / 'wrong'}'\n"
        "echo 'Could not verify signature.'; exit 255\n"
    )
    lying.chmod(0o700)
    monkeypatch.setattr(openssh, "program", lambda: str(lying))
    with pytest.raises(Refused, match="does not hold, so nothing was recorded"):
        signatures.make(entries()[0], tmp_path / "wrong")


# --- the allowed-signers file, which OpenSSH alone reads ------------------------------------------

ALLOWED = [
    "kari {key}",
    "kari,ola {key} a comment of several words",
    '"kari, the elder" {key}',
    'kari namespaces="signature@inspect-tui" {key}',
    'kari namespaces="git,signature@*" {key}',
    'kari valid-after="20261101" {key}',
    'kari valid-after="20261102175959Z",valid-before="202611021801Z" {key}',
    "\n# kept\n   \n\tkari\t {key}",
    "ola ssh-rsa AAAAB3NzaC1yc2EAAAADAQABAAAAAQE=\nkari {key}",
    'ola namespaces="git" {key}\nkari {key}',
    "ola nonsense {key}\nkari {key}",
    "ola cert-authority {key}\nkari {key}",
    'ola valid-before="20200101" {key}\nkari {key}',
    "broken\nkari {key}",
    "kari {key}\r",
    "kari,!ola {key}",
    "!ola,kari {key}\nper {key}",
]
KEPT_OUT = [
    ("", "signers does not list its key"),
    ("# kari {key}", "signers does not list its key"),
    ('kari namespaces="git" {key}', "not permitted for use in signature namespace"),
    ('kari namespaces="*,!signature@inspect-tui" {key}', "not permitted"),
    ('kari valid-after="20261103" {key}', "not yet valid"),
    ('kari valid-before="20261101" {key}', "has expired"),
    ("kari cert-authority {key}", "does not list its key"),
    ('kari valid-after="yesterday" {key}', "signers:1: bad options"),
    ("kari,!kari {key}", "."),
    ("{key}", "."),
]


def signers_of(text):
    return Signers("signers", text.format(key=KEY).encode())


@needs_keygen
@pytest.mark.parametrize("text", ALLOWED)
def test_a_key_that_counts(text):
    found = checked(signers_of(text))
    assert found.state == "good", found.problem
    assert found.signers[0].startswith("kari")
    assert "!ola" not in found.signers


@needs_keygen
@pytest.mark.parametrize(("text", "says"), KEPT_OUT)
def test_a_key_that_does_not(text, says):
    found = checked(signers_of(text))
    assert found.state == "false" and found.signers == ()
    assert "holds, but is by nobody who may sign" in found.problem
    assert re.search(says, found.problem), found.problem
    assert "allowed_signers" not in found.problem  # the file is called by its own name


def test_a_file_that_is_not_there_or_too_large(tmp_path):
    with pytest.raises(BadInput, match="no allowed-signers file"):
        signatures.read_signers(tmp_path / "none")
    (tmp_path / "large").write_bytes(b"#" * (signatures.LARGEST_SIGNERS + 1))
    with pytest.raises(BadInput, match="larger than"):
        signatures.read_signers(tmp_path / "large")
