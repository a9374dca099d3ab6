"""What the messaging API answers when it refuses a call.

Codes and words are those of the public bot API and of its open-source server (tdlib/telegram-bot-api,
`Client::fail_query_with_error` and `Query::set_retry_after_error`), because clients match on them.
"""

from __future__ import annotations

from typing import Any


class ApiError(Exception):
    """A refused call: the HTTP status, the description and, for some, parameters such as retry_after (seconds)."""

    def __init__(self, error_code: int, description: str, **parameters: int) -> None:
        super().__init__(description)
        self.error_code = error_code
        self.description = description
        self.parameters = parameters

    def as_json(self) -> dict[str, Any]:
        """Return the body of the answer."""
        body: dict[str, Any] = {
            "ok": False,
            "error_code": self.error_code,
            "description": self.description,
        }
        if self.parameters:
            body["parameters"] = self.parameters
        return body


class PeopleError(ValueError):
    """Something that a person in a chat cannot do, said in one sentence."""


def bad_request(words: str, **parameters: int) -> ApiError:
    return ApiError(400, f"Bad Request: {words}", **parameters)


def forbidden(words: str) -> ApiError:
    return ApiError(403, f"Forbidden: {words}")


def conflict(words: str) -> ApiError:
    return ApiError(409, f"Conflict: {words}")


def too_many_requests(retry_after: int) -> ApiError:
    return ApiError(429, f"Too Many Requests: retry after {retry_after}", retry_after=retry_after)


def unauthorized() -> ApiError:
    return ApiError(401, "Unauthorized")


def not_found() -> ApiError:
    return ApiError(404, "Not Found")


def server_error() -> ApiError:
    return ApiError(500, "Internal Server Error")
