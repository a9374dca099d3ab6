"""Environment, or a file in its form, into one frozen Settings."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Self
from urllib.parse import urlsplit

from pydantic import Field, ValidationError, field_validator, model_validator
from pydantic_settings import BaseSettings, PydanticBaseSettingsSource, SettingsConfigDict

from bot.domain.keeping import Keeping
from bot.errors import InputProblem, said_of
from bot.storage.encryption import Encryption, key_in

SECRET = {"token", "key", "webhook_secret", "watch_secret"}  # never shown, not even where they are wrong
LOOPBACK = {"127.0.0.1", "localhost", "::1"}


class Settings(BaseSettings):
    """All that the operator sets. Every name stands in the environment with UNDERWING_ before it."""

    model_config = SettingsConfigDict(env_prefix="UNDERWING_", frozen=True, extra="ignore")

    token: str | None = None
    token_file: Path | None = None
    database: str | None = None
    data: Path = Path("underwing-data")
    api_base: str | None = None
    key: str | None = None
    key_file: Path | None = None
    webhook_url: str | None = None
    webhook_secret: str | None = Field(default=None, pattern=r"^[A-Za-z0-9_-]{1,256}$")
    listen: str | None = None
    watch_secret: str | None = Field(default=None, pattern=r"^[A-Za-z0-9_-]{8,256}$")
    activities: Path | None = None
    learning: bool = True
    # Days. What is heard of the last four weeks plans the day, and a digest tells of each week.
    keep_messages: int | None = Field(default=None, ge=35)
    keep_log: int | None = Field(default=None, ge=35)
    keep_concerns: int | None = Field(default=None, ge=35)
    keep_strangers: int | None = Field(default=30, ge=1)
    keep_discharged: int | None = Field(default=None, ge=14)
    log: str = "info"
    benchmark_without_limits: bool = False

    @classmethod
    def settings_customise_sources(
        cls,
        settings_cls: type[BaseSettings],
        init_settings: PydanticBaseSettingsSource,
        env_settings: PydanticBaseSettingsSource,
        dotenv_settings: PydanticBaseSettingsSource,
        file_secret_settings: PydanticBaseSettingsSource,
    ) -> tuple[PydanticBaseSettingsSource, ...]:
        return env_settings, dotenv_settings, init_settings

    @field_validator(
        "token",
        "database",
        "api_base",
        "key",
        "webhook_url",
        "webhook_secret",
        "listen",
        "watch_secret",
        "keep_messages",
        "keep_log",
        "keep_concerns",
        "keep_strangers",
        "keep_discharged",
        mode="before",
    )
    @classmethod
    def _empty_is_absent(cls, value: object) -> object:
        return None if isinstance(value, str) and not value.strip() else value

    @field_validator("api_base")
    @classmethod
    def _ends_in_bot(cls, value: str | None) -> str | None:
        if value is None:
            return None
        parts = urlsplit(value)
        if parts.scheme not in ("http", "https") or not parts.netloc or not parts.path.endswith("/bot"):
            raise ValueError("must be a URL that ends in /bot, like http://127.0.0.1:8081/bot")
        return value

    @field_validator("listen")
    @classmethod
    def _host_and_port(cls, value: str | None) -> str | None:
        if value is None:
            return None
        host, colon, port = value.rpartition(":")
        if not colon or not host or not port.isdigit() or not 0 <= int(port) <= 65535:
            raise ValueError("must be host:port, like 127.0.0.1:8080")
        return value

    @field_validator("webhook_url")
    @classmethod
    def _https(cls, value: str | None) -> str | None:
        if value is not None and urlsplit(value).scheme not in ("https", "http"):
            raise ValueError("must be an https:// URL that reaches this machine")
        return value

    @model_validator(mode="after")
    def _webhook_is_whole(self) -> Self:
        if self.webhook_url and not (self.webhook_secret and self.listen):
            raise ValueError(
                "UNDERWING_WEBHOOK_URL needs UNDERWING_WEBHOOK_SECRET and UNDERWING_LISTEN beside it"
            )
        return self

    @model_validator(mode="after")
    def _limits_are_kept(self) -> Self:
        if self.benchmark_without_limits and not self.api_is_local():
            raise ValueError(
                "UNDERWING_BENCHMARK_WITHOUT_LIMITS sends faster than the messaging service allows, and is refused unless "
                "UNDERWING_API_BASE is on this machine (http://127.0.0.1:…/bot); unset it"
            )
        return self

    def keeping(self) -> Keeping:
        """Return how long what is kept of whom."""
        return Keeping(
            messages=self.keep_messages,
            log=self.keep_log,
            concerns=self.keep_concerns,
            strangers=self.keep_strangers,
            discharged=self.keep_discharged,
        )

    def bot_token(self) -> str:
        """Return the token. Raises InputProblem where none is given or its form is wrong."""
        token = (self.token or _content_of(self.token_file, "UNDERWING_TOKEN_FILE") or "").strip()
        if not token:
            raise InputProblem(
                "UNDERWING_TOKEN is not set: give the bot's token, or its file in UNDERWING_TOKEN_FILE"
            )
        number, colon, secret = token.partition(":")
        if (
            not colon
            or not number.isdigit()
            or len(secret) < 3
            or any(c.isspace() or c == "/" for c in secret)
        ):
            raise InputProblem(
                "UNDERWING_TOKEN is not a bot token: it looks like 123456:ABC-def, as handed out once"
            )
        return token

    def key_path(self) -> Path | None:
        """Return the file that the key stands in; None where the key itself is set."""
        if self.key:
            return None
        return self.key_file or self.data / "key"

    def encryption(self) -> Encryption:
        """Return the encryption of free text; without a key given, one is kept in the data folder."""
        return Encryption(self.key or _content_of(self.key_file, "UNDERWING_KEY_FILE") or key_in(self.data))

    def database_url(self) -> str:
        if self.database:
            return self.database
        try:
            self.data.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise InputProblem(
                f"UNDERWING_DATA {self.data} cannot be made ({error.strerror}); name a folder that may be written"
            ) from None
        return f"sqlite:///{self.data / 'underwing.db'}"

    def api_is_local(self) -> bool:
        return self.api_base is not None and (urlsplit(self.api_base).hostname or "") in LOOPBACK

    def file_base(self) -> str | None:
        """Return the URL that files are fetched from, of the same host as the API."""
        return None if self.api_base is None else self.api_base.removesuffix("/bot") + "/file/bot"


def _content_of(path: Path | None, name: str) -> str | None:
    if path is None:
        return None
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise InputProblem(
            f"{name} {path} cannot be read ({getattr(error, 'strerror', None) or 'not text'})"
        ) from None


def load_settings(env_file: Path | None = None, **given: object) -> Settings:
    """Read the settings. Raises InputProblem with one sentence a problem, naming the variable."""
    if env_file is not None and not env_file.is_file():
        raise InputProblem(f"--env-file {env_file} is not a file")
    try:
        return Settings(_env_file=env_file, **given)  # type: ignore[arg-type,call-arg]
    except ValidationError as error:
        raise InputProblem([_sentence(problem) for problem in error.errors()]) from None


def _sentence(problem: Mapping[str, object]) -> str:
    where = ".".join(str(part) for part in problem["loc"])  # type: ignore[attr-defined]
    message = said_of(problem)
    if not where:
        return message
    if where in SECRET:
        return f"UNDERWING_{where.upper()} cannot be used: {message}"
    return f"UNDERWING_{where.upper()} is {problem.get('input')!r}: {message}"
