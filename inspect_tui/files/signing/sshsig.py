"""SSH signatures (SSHSIG): their bytes and armor, and ed25519 made and checked with `cryptography`.

The format is OpenSSH's PROTOCOL.sshsig; the key and signature inside are RFC 8709's. Where
`ssh-keygen` is present it does the work instead (`openssh`), and each checks the other's.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
from dataclasses import dataclass

from inspect_tui.errors import BadInput

NAMESPACE = "signature@inspect-tui"
"""What a signature is for; one made for mail, code or a log-in never counts here."""
ED25519 = "ssh-ed25519"
BEGIN, END = "-----BEGIN SSH SIGNATURE-----", "-----END SSH SIGNATURE-----"
HASHES = ("sha256", "sha512")
_MAGIC = b"SSHSIG"
_KEY_MAGIC = b"openssh-key-v1\0"
_VERSION = 1
_WIDTH = 70
_LARGEST = 20_000
"""Characters of an armored signature; an ed25519 one has about 300."""


@dataclass(frozen=True, slots=True)
class Signature:
    """What an SSH signature holds."""

    key: bytes
    """The public key, in SSH's own form."""
    namespace: str
    hash: str
    """`sha256` or `sha512`: how the message was hashed before signing."""
    signature: bytes
    """The signature proper, in SSH's own form."""

    @property
    def key_type(self) -> str:
        """Such as `ssh-ed25519`."""
        return key_type(self.key)


def message(seal: str) -> bytes:
    """What is signed for a seal: its 64 hex characters and a line end."""
    return seal.encode("ascii") + b"\n"


def fingerprint(key: bytes) -> str:
    """A key's fingerprint, as `ssh-keygen -l` shows it: `SHA256:...`."""
    digest = base64.b64encode(hashlib.sha256(key).digest()).decode("ascii")
    return f"SHA256:{digest.rstrip('=')}"


def key_type(key: bytes) -> str:
    """The type that a public key names; "" where it can't be read."""
    try:
        return _text(_Reader(key).string())
    except BadInput:
        return ""


def public_line(key: bytes) -> str:
    """A public key as one line: its type and base64."""
    return f"{key_type(key)} {base64.b64encode(key).decode('ascii')}"


def key_of_line(line: str) -> bytes:
    """The public key of a line `ssh-ed25519 AAAA...`.

    Raises:
        BadInput: it is none, or names another type than it holds.
    """
    parts = line.split()
    if len(parts) < 2:
        raise BadInput("A public key is a type and base64, such as 'ssh-ed25519 AAAA...'.")
    key = _base64(parts[1], "public key")
    if key_type(key) != parts[0]:
        raise BadInput(f"The public key says it is {parts[0]!a}, and holds something else.")
    return key


def armored(signature: Signature) -> str:
    """The signature as text, as `ssh-keygen` writes it."""
    data = (
        _MAGIC
        + _VERSION.to_bytes(4, "big")
        + _string(signature.key)
        + _string(signature.namespace.encode("utf-8"))
        + _string(b"")
        + _string(signature.hash.encode("ascii"))
        + _string(signature.signature)
    )
    text = base64.b64encode(data).decode("ascii")
    lines = [text[at : at + _WIDTH] for at in range(0, len(text), _WIDTH)]
    return "\n".join([BEGIN, *lines, END, ""])


def read(text: str) -> Signature:
    """The signature in an armored text.

    Raises:
        BadInput: it is none, or one of a kind that is not known here.
    """
    # Line ends are LF alone, and nothing stands before: so it is for OpenSSH.
    lines = text.rstrip("\n").split("\n")
    if len(text) > _LARGEST or len(lines) < 3 or lines[0] != BEGIN or lines[-1] != END:
        raise BadInput(f"An SSH signature begins with {BEGIN} and ends with {END}.")
    reader = _Reader(_base64("".join(lines[1:-1]), "SSH signature"))
    if reader.take(len(_MAGIC)) != _MAGIC:
        raise BadInput("The SSH signature doesn't begin with SSHSIG.")
    if (version := int.from_bytes(reader.take(4), "big")) != _VERSION:
        raise BadInput(f"The SSH signature is of version {version}; version 1 is known.")
    key, namespace = reader.string(), _text(reader.string())
    reader.string()  # reserved: whatever is there is to be ignored
    found = Signature(key, namespace, _text(reader.string()), reader.string())
    reader.end()
    if found.hash not in HASHES:
        raise BadInput(f"The SSH signature's hash is {found.hash!a}; sha256 and sha512 are known.")
    return found


def signed_bytes(namespace: str, hashed: str, message: bytes) -> bytes:
    """What the key really signs: the message's hash with the namespace before it."""
    digest = hashlib.new(hashed, message).digest()
    return (
        _MAGIC
        + _string(namespace.encode("utf-8"))
        + _string(b"")
        + _string(hashed.encode("ascii"))
        + _string(digest)
    )


def sign(private_key: bytes, message: bytes) -> str:
    """Sign with an ed25519 key, as an armored text.

    Args:
        private_key: The bytes of the key's file, in OpenSSH's format, without a passphrase.
        message: What is signed.

    Raises:
        BadInput: no such key, another type, or one with a passphrase.
    """
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.serialization import (
        Encoding,
        PublicFormat,
        load_ssh_private_key,
    )

    if _has_passphrase(private_key):
        raise BadInput(
            "The key has a passphrase, which only ssh-keygen asks for.",
            "Install the OpenSSH client, or use a key without a passphrase.",
        )
    try:
        key = load_ssh_private_key(private_key, password=None)
    except (ValueError, TypeError, UnsupportedAlgorithm):
        raise BadInput(
            "This is no private key in OpenSSH's format.", "Make one: ssh-keygen -t ed25519."
        ) from None
    if not isinstance(key, Ed25519PrivateKey):
        raise BadInput("Only ed25519 keys sign here.", "Make one: ssh-keygen -t ed25519.")
    raw = key.public_key().public_bytes(Encoding.Raw, PublicFormat.Raw)
    own = _string(ED25519.encode("ascii"))
    made = key.sign(signed_bytes(NAMESPACE, "sha512", message))
    return armored(Signature(own + _string(raw), NAMESPACE, "sha512", own + _string(made)))


def _has_passphrase(private_key: bytes) -> bool:
    """Whether the key's file names a cipher (OpenSSH's PROTOCOL.key)."""
    body = b"".join(line for line in private_key.splitlines() if not line.startswith(b"-----"))
    try:
        reader = _Reader(_base64(body.decode("ascii", "replace"), "private key"))
        return reader.take(len(_KEY_MAGIC)) == _KEY_MAGIC and reader.string() != b"none"
    except BadInput:
        return False


def holds(signature: Signature, message: bytes) -> bool:
    """Whether the key in the signature made it over this message; who has the key, it can't say.

    Raises:
        BadInput: another type of key than ed25519.
    """
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    try:
        reader, inner = _Reader(signature.key), _Reader(signature.signature)
        if _text(reader.string()) != ED25519:
            raise BadInput(f"The signature's key is {signature.key_type!a}; ed25519 is known.")
        raw = reader.string()
        reader.end()
        kind, made = _text(inner.string()), inner.string()
        inner.end()
        if kind != ED25519:
            return False
        public = Ed25519PublicKey.from_public_bytes(raw)
        public.verify(made, signed_bytes(signature.namespace, signature.hash, message))
    except (InvalidSignature, ValueError):
        return False
    return True


def _string(data: bytes) -> bytes:
    return len(data).to_bytes(4, "big") + data


def _text(data: bytes) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        raise BadInput("A name inside the SSH signature is no text.") from None


def _base64(text: str, what: str) -> bytes:
    try:
        if len(text) % 4:  # the decoder itself lets too much padding pass
            raise ValueError
        return base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError):
        raise BadInput(f"The {what} is no base64 text.") from None


class _Reader:
    """Along the bytes of SSH's own form: lengths of four bytes, then so many bytes."""

    def __init__(self, data: bytes) -> None:
        self.data = data
        self.at = 0

    def take(self, count: int) -> bytes:
        """The next bytes; BadInput where they end before."""
        if self.at + count > len(self.data):
            raise BadInput("The SSH key or signature is cut short.")
        self.at += count
        return self.data[self.at - count : self.at]

    def string(self) -> bytes:
        """The next string."""
        return self.take(int.from_bytes(self.take(4), "big"))

    def end(self) -> None:
        """BadInput where something follows."""
        if self.at != len(self.data):
            raise BadInput("Something follows the end of the SSH key or signature.")
