"""Messages that carry a file: photos, videos, voices, documents and their like, and fetching a file again."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

from demo.messaging.arguments import Arguments
from demo.messaging.chats import MEDIA_KINDS, Json
from demo.messaging.errors import bad_request
from demo.messaging.files import MOST_DOWNLOAD_BYTES, FileStore, StoredFile
from demo.messaging.methods.messages import MOST_CAPTION, deliver, edit, formatted
from demo.messaging.methods.method import Method
from demo.messaging.service import Service

WITHOUT_CAPTION = ("video_note", "sticker")
ALBUM_KINDS = ("photo", "video", "document", "audio")


def send_media(service: Service, arguments: Arguments, *, kind: str) -> Json:
    content = media_content(service.files, arguments, kind, arguments, field=kind)
    return deliver(service, arguments, [content])[0]


def send_media_group(service: Service, arguments: Arguments) -> list[Json]:
    media = arguments.json("media")
    if not isinstance(media, list) or not 2 <= len(media) <= 10:
        raise bad_request("an album must have from 2 to 10 media")
    kinds = {str(entry.get("type")) for entry in media if isinstance(entry, dict)}
    mixed = kinds - {"photo", "video"} and len(kinds) > 1
    if not kinds or kinds - set(ALBUM_KINDS) or mixed:
        raise bad_request("can't use the media of the specified type in the album")
    contents = [input_media(service.files, entry, arguments) for entry in media]
    group_id = str(service.events.last + 1)
    return deliver(service, arguments, [{**content, "media_group_id": group_id} for content in contents])


def edit_message_media(service: Service, arguments: Arguments) -> Json:
    entry = arguments.mapping("media")
    if entry is None:
        raise bad_request("media to edit is empty")
    content = input_media(service.files, entry, arguments)
    fields = (*MEDIA_KINDS, "text", "entities", "caption", "caption_entities", "link_preview_options")
    return edit(service, arguments, lambda message: content, fields=fields)


def get_file(service: Service, arguments: Arguments) -> Json:
    stored = service.files.get(arguments.text("file_id") or "")
    if len(stored.content) > MOST_DOWNLOAD_BYTES:
        raise bad_request("file is too big")
    return {**stored.facts(), "file_path": stored.path}


def input_media(files: FileStore, entry: Mapping[str, Any], arguments: Arguments) -> Json:
    """Return the content of one InputMedia, its file among the uploads of the call."""
    kind = str(entry.get("type"))
    if kind not in MEDIA_KINDS:
        raise bad_request("can't parse InputMedia: unsupported type")
    own = Arguments(dict(entry), arguments.uploads)
    return media_content(files, own, kind, entry, field="media")


def media_content(files: FileStore, arguments: Arguments, kind: str, words: Any, *, field: str) -> Json:
    """Return the fields of a Message that carries a file. field: where the call names it."""
    stored = _stored(files, arguments, kind, field)
    content = described(stored, arguments)
    if kind not in WITHOUT_CAPTION:
        content |= formatted(words, field="caption", most=MOST_CAPTION)
    if arguments.flag("has_spoiler") and kind in ("photo", "video", "animation"):
        content["has_media_spoiler"] = True
    return content


def described(stored: StoredFile, arguments: Arguments) -> Json:
    """Return a file as a Message shows it, with the sizes and lengths (seconds) that the call gives."""
    facts = stored.facts()
    if stored.kind == "photo":
        return {"photo": [{**facts, "width": stored.width, "height": stored.height}]}
    if stored.kind == "sticker":
        shape = {"type": "regular", "width": 512, "height": 512, "is_animated": False, "is_video": False}
        return {"sticker": {**facts, **shape}}
    if stored.kind != "video_note":
        facts["mime_type"] = stored.mime_type
    if stored.kind not in ("voice", "video_note"):
        facts["file_name"] = stored.name
    if stored.kind != "document":
        facts["duration"] = arguments.integer("duration")
    if stored.kind in ("video", "animation"):
        facts |= {"width": arguments.integer("width", 320), "height": arguments.integer("height", 240)}
    if stored.kind == "video_note":
        facts["length"] = arguments.integer("length", 240)
    content: Json = {stored.kind: facts}
    if stored.kind == "animation":
        content["document"] = {
            name: facts[name] for name in facts if name not in ("duration", "width", "height")
        }
    return content


def _stored(files: FileStore, arguments: Arguments, kind: str, field: str) -> StoredFile:
    upload = arguments.upload(field)
    if upload is not None:
        return files.keep(kind, upload.content, upload.name, upload.mime_type)
    given = arguments.text(field)
    if not given:
        raise bad_request(f"there is no {kind.replace('_', ' ')} in the request")
    if given.startswith(("http://", "https://")):
        # A local server fetches nothing from elsewhere.
        raise bad_request("failed to get HTTP URL content")
    stored = files.get(given)
    if stored.kind != kind:
        raise bad_request(f"can't use file of type {stored.kind.title()} as {kind.title()}")
    return stored


METHODS: dict[str, Method] = {
    **{f"send{kind.replace('_', '')}": partial(send_media, kind=kind) for kind in MEDIA_KINDS},
    "sendmediagroup": send_media_group,
    "editmessagemedia": edit_message_media,
    "getfile": get_file,
}
