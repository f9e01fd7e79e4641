"""Carries a question to a server and looks at the answer before anybody keeps it: its size, how long it
takes, its shape.

An answer that cannot be used is raised like a failed connection, so that what was kept earlier stays and is
used instead. Nothing of an answer but its body and three headers goes on; where it sends elsewhere, the key
does not follow.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from http.client import responses
from io import BytesIO

from requests import Response
from requests.adapters import HTTPAdapter
from requests.exceptions import RequestException
from urllib3 import HTTPResponse
from urllib3.exceptions import HTTPError

_KEPT_HEADERS = ("Content-Type", "Retry-After", "X-RateLimit-Remaining")


class UnfitAnswer(RequestException):
    """An answer came, and cannot be used; its words say why. again: whether asking once more may help."""

    def __init__(self, why: str, again: bool = False):
        super().__init__(why)
        self.again = again


class CarefulAdapter(HTTPAdapter):
    """look(address, body) raises UnfitAnswer for a body of status 200 that cannot be used. largest: bytes, as
    unpacked.
    longest: seconds for the whole body.
    """

    def __init__(self, look: Callable[[str, bytes], None], largest: int, longest: float):
        super().__init__()
        self.look, self.largest, self.longest = look, largest, longest

    def send(self, request, **options) -> Response:
        options["stream"] = True
        response = super().send(request, **options)
        try:
            body = self._read(response.raw)
        except HTTPError:
            raise UnfitAnswer("its answer was cut off", again=True) from None
        finally:
            response.close()
        status = response.status_code
        if 300 <= status < 400:
            raise UnfitAnswer(f"it sends elsewhere (HTTP {status}), as the login page of a network does")
        if status == 200:
            self.look(request.url, body)
        headers = {name: response.headers[name] for name in _KEPT_HEADERS if name in response.headers}
        raw = HTTPResponse(
            BytesIO(body),
            headers,
            status,
            reason=responses.get(status, ""),
            preload_content=False,
            request_url=request.path_url,
        )
        return self.build_response(request, raw)

    def _read(self, raw: HTTPResponse) -> bytes:
        end, parts, size = time.monotonic() + self.longest, [], 0
        while part := raw.read1(1 << 16, decode_content=True):
            parts.append(part)
            size += len(part)
            if size > self.largest:
                raise UnfitAnswer(f"its answer is larger than {self.largest:,} bytes")
            if time.monotonic() > end:
                raise UnfitAnswer(f"its answer takes longer than {self.longest:g} s")
        return b"".join(parts)
