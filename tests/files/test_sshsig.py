"""SSH signatures: their bytes, and that OpenSSH and `cryptography` each check the other's."""

import shutil
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ssh_keys import make_key, make_locked_key, needs_keygen

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.errors import BadInput
from inspect_tui.files.signing import openssh, signatures, sshsig

SEAL = "ab" * 32
# Own regression values: made once by ssh-keygen of OpenSSH 9.2p1 over SEAL, sha512 and sha256.
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


@pytest.mark.parametrize("hashed", MADE)
def test_what_openssh_made_is_read_and_checked(hashed):
    found = sshsig.read(MADE[hashed])
    assert (found.namespace, found.hash, found.key_type) == (
        sshsig.NAMESPACE, hashed, "ssh-ed25519",
    )  # fmt: skip
    assert found.key == sshsig.key_of_line(f"{KEY} a comment")
    assert sshsig.public_line(found.key) == KEY
    assert sshsig.fingerprint(found.key) == FINGERPRINT
    assert sshsig.holds(found, sshsig.message(SEAL))
    assert not sshsig.holds(found, sshsig.message(SEAL[:-1] + "c"))
    assert not sshsig.holds(found, SEAL.encode())


@pytest.mark.parametrize("hashed", MADE)
def test_it_is_armored_as_openssh_does(hashed):
    assert sshsig.armored(sshsig.read(MADE[hashed])) == MADE[hashed]


def test_another_namespace_or_hash_does_not_hold():
    found = sshsig.read(MADE["sha512"])
    for other in (
        sshsig.Signature(found.key, "file", found.hash, found.signature),
        sshsig.Signature(found.key, found.namespace, "sha256", found.signature),
    ):
        assert not sshsig.holds(other, sshsig.message(SEAL))


@given(st.integers(0, 10_000), st.integers(0, 255))
def test_no_changed_byte_holds(at, value):
    text = MADE["sha512"]
    at %= len(text)
    changed = text[:at] + chr(value) + text[at + 1 :]
    try:
        found = sshsig.read(changed)
        same = found == sshsig.read(text)
        good = sshsig.holds(found, sshsig.message(SEAL))
    except BadInput:
        return
    assert good == same


@needs_keygen
def test_each_checks_the_others(tmp_path):
    keygen = shutil.which("ssh-keygen")
    key, message = tmp_path / "key", sshsig.message(SEAL)
    line = make_key(key)
    ours = sshsig.sign(key.read_bytes(), message)
    theirs = openssh.sign(keygen, key, message)
    # ed25519 gives one signature for one message.
    assert ours == theirs
    assert openssh.refusal(keygen, ours, message) == ""
    assert openssh.refusal(keygen, ours, sshsig.message("0" * 64))
    assert sshsig.holds(sshsig.read(theirs), message)
    assert sshsig.public_line(sshsig.read(theirs).key) == line


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "begins with"),
        ("-----BEGIN SSH SIGNATURE-----\n!!!\n-----END SSH SIGNATURE-----\n", "base64"),
        ("-----BEGIN SSH SIGNATURE-----\nAAAA\n-----END SSH SIGNATURE-----\n", "cut short"),
        (MADE["sha512"].replace("U1NIU0lH", "U1NIU0lI"), "SSHSIG"),
        (MADE["sha512"].replace("U1NIU0lHAAAAAQ", "U1NIU0lHAAAAAg"), "version 2"),
        (MADE["sha512"].replace("g0=\n", "\n"), "base64|cut short"),
        (MADE["sha512"] + "x" * 30_000, "begins with"),
        (MADE["sha512"].replace("\n", "\r\n"), "begins with"),
        ("\n" + MADE["sha512"], "begins with"),
        (" " + MADE["sha512"], "begins with"),
        (MADE["sha512"].replace("\n", "\u2028"), "begins with"),
        (MADE["sha512"] + "x", "begins with"),
        (MADE["sha512"] * 2, "base64"),
    ],
)
def test_what_is_no_signature_is_said(text, says):
    with pytest.raises(BadInput, match=says):
        sshsig.read(text)


def test_what_openssh_alone_lets_pass_counts_nowhere(tmp_path, monkeypatch):
    """RFC 8032, 5.1.7: the scalar is below the group's order; OpenSSH's check doesn't mind."""
    made = sshsig.read(MADE["sha512"])
    order = 2**252 + 27742317777372353535851937790883648493
    scalar = int.from_bytes(made.signature[-32:], "little") + order
    raised = replace(made, signature=made.signature[:-32] + scalar.to_bytes(32, "little"))
    keys = {
        "of": 1, "of_seal": SEAL, "namespace": sshsig.NAMESPACE,
        "public_key": sshsig.public_line(made.key),
    }  # fmt: skip
    at = datetime(2026, 11, 2, tzinfo=UTC)
    for each, holds in ((made, True), (raised, False)):
        entries = (
            Entry(1, "signed", at, "A", {}, SEAL),
            Entry(2, "signature", at, "A", {**keys, "signature": sshsig.armored(each)}),
        )
        for here in (shutil.which("ssh-keygen"), None):
            monkeypatch.setattr(openssh, "program", lambda here=here: here)
            (found,) = signatures.check(entries)
            assert (found.problem == "") == holds, found


@pytest.mark.parametrize(
    "line", ["", "ssh-ed25519", "ssh-ed25519 !!", "ssh-rsa " + KEY.split()[1], "ssh-ed25519 AAAA"]
)
def test_what_is_no_public_key_is_said(line):
    with pytest.raises(BadInput):
        sshsig.key_of_line(line)


def test_a_key_of_another_kind_with_a_passphrase_or_none_at_all_is_refused(tmp_path):
    make_key(tmp_path / "other", other_type=True)
    with pytest.raises(BadInput, match="Only ed25519"):
        sshsig.sign((tmp_path / "other").read_bytes(), b"x")
    make_locked_key(tmp_path / "locked")
    with pytest.raises(BadInput, match="passphrase"):
        sshsig.sign((tmp_path / "locked").read_bytes(), b"x")
    with pytest.raises(BadInput, match="no private key"):
        sshsig.sign(b"hello", b"x")
