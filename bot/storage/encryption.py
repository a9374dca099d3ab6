"""What is told of people at rest: sealed with the clinic's key.

AES-SIV (RFC 5297) with a nonce by chance, under a key that is derived from the clinic's (HKDF, RFC 5869). Earlier releases
sealed with Fernet, which costs about eight times as much for a short value; what they wrote is still opened, and a change of
the key seals it anew.
"""

from __future__ import annotations

import base64
import os
from pathlib import Path

from cryptography.exceptions import InvalidTag
from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from cryptography.hazmat.primitives.ciphers.aead import AESSIV
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF

from bot.errors import InputProblem

KEY_HELP = (
    "make one with: python -c 'from cryptography.fernet import Fernet; print(Fernet.generate_key().decode())'"
)

FORM = b"\x01"  # the first byte of what is sealed; a Fernet token begins with a letter
NONCE_LENGTH = 16  # bytes
START = len(FORM) + NONCE_LENGTH  # of what is sealed


class Encryption:
    """Seals and opens text. Several keys, one a line: the first seals, all open, so that a key can be changed.

    unreadable: how often something could not be opened, since a key is missing or the value is damaged.
    """

    def __init__(self, keys: str) -> None:
        try:
            self.unreadable = 0
            self._fernet = MultiFernet([Fernet(key) for key in keys.split()])
            self._ciphers = [_cipher(base64.urlsafe_b64decode(key)) for key in keys.split()]
        except (ValueError, TypeError):
            raise InputProblem(
                f"UNDERWING_KEY is not a key of 32 url-safe base64 bytes; {KEY_HELP}"
            ) from None

    def seal(self, text: str) -> bytes:
        return self.seal_bytes(text.encode("utf-8", "surrogatepass"))

    def seal_bytes(self, content: bytes) -> bytes:
        nonce = os.urandom(NONCE_LENGTH)
        return FORM + nonce + self._ciphers[0].encrypt(content, [nonce])

    def open(self, sealed: bytes) -> str:
        """Return the text. Raises InputProblem where the key is not the one that sealed it."""
        return self.open_bytes(sealed).decode("utf-8", "surrogatepass")

    def open_bytes(self, sealed: bytes) -> bytes:
        """Return the content. Raises InputProblem where the key is not the one that sealed it."""
        try:
            return self._decrypted(sealed)
        except InvalidToken:
            self.unreadable += 1
            raise InputProblem(
                "UNDERWING_KEY does not open what is stored; set the key that this database was written with"
            ) from None

    def _decrypted(self, sealed: bytes) -> bytes:
        """Return the content. Raises InvalidToken."""
        if not sealed.startswith(FORM):
            return self._fernet.decrypt(sealed)
        nonce, rest = sealed[len(FORM) : START], sealed[START:]
        for cipher in self._ciphers:
            try:
                return cipher.decrypt(rest, [nonce])
            except (InvalidTag, ValueError):  # another key's, or cut short
                continue
        raise InvalidToken


def _cipher(key: bytes) -> AESSIV:
    return AESSIV(HKDF(SHA256(), length=64, salt=None, info=b"underwing sealed values").derive(key))


def key_in(folder: Path) -> str:
    """Return the key kept in `folder`, making one (readable by its owner alone) where there is none yet."""
    path = folder / "key"
    if not path.exists():
        folder.mkdir(parents=True, exist_ok=True)
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(descriptor, "w", encoding="ascii") as file:
            file.write(Fernet.generate_key().decode() + "\n")
    return path.read_text(encoding="ascii")
