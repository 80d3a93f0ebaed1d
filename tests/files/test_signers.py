"""The allowed-signers file: whose keys count, for what and when; beside OpenSSH's own reading."""

import re
import shutil
from datetime import UTC, datetime

import pytest
from ssh_keys import make_key, needs_keygen

from inspect_tui.errors import BadInput
from inspect_tui.files.signing import allowed_signers, openssh, sshsig
from inspect_tui.files.signing.allowed_signers import Signers, who
from tests.campaigns import allowed as allowed_campaign

AT = datetime(2026, 11, 2, 18, 0, tzinfo=UTC)
OTHER = "ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAICpAkrZE0oN4bQIbIE0Z75QLKNfkN/rDM8LLgky/ntQQ"
RSA = "ssh-rsa AAAAB3NzaC1yc2EAAAADAQABAAAAAQE="

ALLOWED = [
    "kari {key}",
    "kari,ola {key} a comment of several words",
    '"kari, the elder" {key}',
    'kari namespaces="signature@inspect-tui" {key}',
    'kari namespaces="git,signature@*" {key}',
    'kari NAMESPACES="file,signature@inspect-tu?" {key}',
    'kari valid-after="20261101" {key}',
    'kari valid-after="20261102175959Z",valid-before="202611021801Z" {key}',
    'kari namespaces="signature@inspect-tui",valid-before="20270101" {key}',
    "\n# kept\n   \n\tkari\t {key}",
    f"ola {OTHER}\nkari {{key}}",
    f"ola {RSA}\nkari {{key}}",
    'kari namespaces="git" {key}\nkari {key}',
    "kari nonsense {key}\nkari {key}",
    "kari cert-authority {key}\nkari {key}",
    "broken\nkari {key}",
    "kari {key}\r",
    "kari,!ola {key}",
    'ka"ri" {key}',
    "kari ssh-ed25519\t \t{blob}",
    'kari ,namespaces="*" {key}',
    'kari valid-before="20261131" {key}',
    'kari valid-before="20261102180060Z" {key}',
    "kari {key}\0{key}",
]
KEPT_OUT = [
    ("", "does not list"),
    (f"kari {OTHER}", "does not list the key SHA256:"),
    ("# kari {key}", "does not list"),
    ('kari namespaces="git" {key}', "not for the namespace signature@inspect-tui"),
    ('kari namespaces="*,!signature@inspect-tui" {key}', "not for the namespace"),
    ('kari valid-after="20261103" {key}', "not valid yet"),
    ('kari valid-before="20261101" {key}', "not valid any more"),
    ('kari valid-before="20261102175959Z" {key}', "not valid any more"),
    ("kari cert-authority {key}", "certificate authority"),
    ('kari valid-after="yesterday" {key}', "'yesterday' is no time"),
    ('kari valid-after="20271301" {key}', "no time"),
    ('kari valid-after="20270101",valid-before="20260101" {key}', "not earlier"),
    ("kari namespaces {key}", "can't be understood"),
    ('kari namespaces="a",namespaces="signature@inspect-tui" {key}', "each once"),
    ("kari ssh-ed25519", "can't be understood"),
    ("kari ssh-rsa {blob}", "can't be understood"),
    ("{key}", "can't be understood|does not list"),
    ("kari,!kari {key}", "lets nobody sign"),
    ("!* {key}", "lets nobody sign"),
    ("k" * 1100 + " {key}", "lets nobody sign"),
    ("kari\0 {key}", "can't be understood"),
    ("kari\x0c{key}", "can't be understood"),
    ('kari namespaces="*", {key}', "comma"),
    ("kari , {key}", "can't be understood"),
    ("kari {key}=", "no base64"),
    ("kari {key}\rola {key}", "no base64"),
    ("kari ssh-ed25519\r {blob}", "CR"),
    ('kari valid-after="19700101Z" {key}', "no time"),
    ('kari valid-after="20261132" {key}', "no time"),
]


@pytest.fixture
def key(tmp_path):
    """A key's file and its public line."""
    path = tmp_path / "key"
    return path, make_key(path)


def answer(text, line):
    text = text.format(key=line, blob=line.split()[1])
    allowed = Signers("signers", text.encode())
    return allowed, who(allowed, sshsig.key_of_line(line), AT)


def openssh_says(path, allowed, principal):
    keygen, message = shutil.which("ssh-keygen"), sshsig.message("ab" * 32)
    made = sshsig.sign(path.read_bytes(), message)
    return not openssh.refusal_by_signers(keygen, made, message, allowed.data, principal, AT)


@pytest.mark.parametrize("text", ALLOWED)
def test_a_key_that_counts(text, key):
    _, found = answer(text, key[1])
    assert found.principals
    assert found.principals[0] == "kari"
    assert found.why_not == ""


@pytest.mark.parametrize(("text", "says"), KEPT_OUT)
def test_a_key_that_does_not(text, says, key):
    _, found = answer(text, key[1])
    assert found.principals == ()
    assert re.search(says, found.why_not), found.why_not


@needs_keygen
@pytest.mark.parametrize("text", ALLOWED)
def test_openssh_lets_the_same_in(text, key):
    allowed, found = answer(text, key[1])
    assert openssh_says(key[0], allowed, found.principals[0])


@needs_keygen
@pytest.mark.parametrize("text", [text for text, _ in KEPT_OUT])
def test_openssh_keeps_the_same_out(text, key):
    allowed, _ = answer(text, key[1])
    assert not openssh_says(key[0], allowed, "kari")


@needs_keygen
def test_a_time_is_compared_in_whole_seconds(key):
    text = f'kari valid-before="20261102180000Z" {key[1]}'
    allowed = Signers("signers", text.encode())
    late = AT.replace(microsecond=900_000)
    assert who(allowed, sshsig.key_of_line(key[1]), late).principals == ("kari",)
    assert openssh_says(key[0], allowed, "kari")


@needs_keygen
def test_odd_files_are_read_as_openssh_reads_them():
    found = allowed_campaign.run(25, 2, shutil.which("ssh-keygen"))
    assert found.faults == []
    assert found.cases == 25


def test_a_file_that_is_not_there_or_too_large(tmp_path):
    with pytest.raises(BadInput, match="no allowed-signers file"):
        allowed_signers.read(tmp_path / "none")
    (tmp_path / "large").write_bytes(b"#" * (allowed_signers.LARGEST + 1))
    with pytest.raises(BadInput, match="larger than"):
        allowed_signers.read(tmp_path / "large")
