"""Files that were sent, kept in memory, and what is known of a picture."""

from __future__ import annotations

import hashlib
import io
from dataclasses import dataclass
from typing import Any

from PIL import Image, UnidentifiedImageError

from demo.messaging.errors import ApiError, bad_request

# Bot API, "Sending files" and getFile.
MOST_PHOTO_BYTES = 10 * 1024 * 1024
MOST_UPLOAD_BYTES = 50 * 1024 * 1024
MOST_DOWNLOAD_BYTES = 20 * 1024 * 1024
MOST_PHOTO_SIDES = 10_000
MOST_PHOTO_RATIO = 20

FOLDERS = {
    "photo": "photos",
    "video": "videos",
    "voice": "voice",
    "audio": "music",
    "document": "documents",
    "animation": "animations",
    "video_note": "video_notes",
    "sticker": "stickers",
}
ENDINGS = {
    "photo": ".jpg",
    "video": ".mp4",
    "voice": ".oga",
    "audio": ".mp3",
    "animation": ".mp4",
    "video_note": ".mp4",
    "sticker": ".webp",
}


@dataclass(frozen=True, slots=True)
class StoredFile:
    """kind: the key of a message that carries it (photo, video, voice, document …)."""

    file_id: str
    unique_id: str
    kind: str
    path: str
    name: str
    mime_type: str
    content: bytes
    width: int = 0
    height: int = 0

    def facts(self) -> dict[str, Any]:
        """Return the fields that every kind of file has in the API."""
        return {
            "file_id": self.file_id,
            "file_unique_id": self.unique_id,
            "file_size": len(self.content),
        }


class FileStore:
    """Files by id and by path."""

    def __init__(self) -> None:
        self._by_id: dict[str, StoredFile] = {}
        self._by_path: dict[str, StoredFile] = {}

    def keep(self, kind: str, content: bytes, name: str, mime_type: str) -> StoredFile:
        """Keep a file and return it.

        Raises:
            ApiError: 413, it is over 50 MB; 400, it is empty, or a photo that is no picture or has impossible sides.
        """
        if not content:
            raise bad_request("file must be non-empty")
        if len(content) > MOST_UPLOAD_BYTES:
            raise ApiError(413, "Request Entity Too Large")
        width, height = picture_size(content) if kind == "photo" else (0, 0)
        number = len(self._by_id) + 1
        digest = hashlib.sha256(content).hexdigest()
        ending = ENDINGS.get(kind) or ("." + name.rsplit(".", 1)[1] if "." in name else "")
        stored = StoredFile(
            file_id=f"{kind}-{number}-{digest[:24]}",
            unique_id=digest[:16],
            kind=kind,
            path=f"{FOLDERS[kind]}/file_{number}{ending}",
            name=name,
            mime_type=mime_type,
            content=content,
            width=width,
            height=height,
        )
        self._by_id[stored.file_id] = stored
        self._by_path[stored.path] = stored
        return stored

    def get(self, file_id: str) -> StoredFile:
        """Raises ApiError: 400, there is no such file."""
        try:
            return self._by_id[file_id]
        except KeyError:
            raise bad_request("wrong file identifier/HTTP URL specified") from None

    def at(self, path: str) -> StoredFile | None:
        return self._by_path.get(path)


def picture_size(content: bytes) -> tuple[int, int]:
    """Return the width and height of a photo in pixels.

    Raises:
        ApiError: 400, not a picture, more than 10 MB, sides over 10,000 together or a ratio over 20 (Bot API, sendPhoto).
    """
    if len(content) > MOST_PHOTO_BYTES:
        raise bad_request("file is too big")
    try:
        with Image.open(io.BytesIO(content)) as picture:
            width, height = picture.size
    except (UnidentifiedImageError, OSError, ValueError):
        raise bad_request("IMAGE_PROCESS_FAILED") from None
    if width + height > MOST_PHOTO_SIDES or max(width, height) > MOST_PHOTO_RATIO * min(width, height):
        raise bad_request("PHOTO_INVALID_DIMENSIONS")
    return width, height
