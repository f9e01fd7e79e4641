"""USDA FoodData Central over the network, asked politely and only when told to; answers are kept in the cache
folder.

The key travels in a header, so that it stands in no address, no kept answer and no kitchen.
"""

from __future__ import annotations

import json
import os
import sqlite3
import time
from collections.abc import Callable
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path

from labelgen import paths
from labelgen.composition.fdc import FetchedFood, PerVolume, read_food, read_hits
from labelgen.errors import FetchError
from labelgen.tomlfile import read_toml

KEY_VARIABLE = "FDC_API_KEY"
#: Another address of the same API, for a mirror.
URL_VARIABLE = "FDC_API_URL"
#: The data types that a search lists unless packaged foods ("Branded") are wanted too.
KINDS = ("Foundation", "SR Legacy", "Survey (FNDDS)")
_BUSY = (429, 500, 502, 503, 504)
#: A shorter text is no key, and would be found in any answer.
_SHORTEST_KEY = 8
#: Signs a key may hold besides letters and digits.
_MARKS = {ord(sign): None for sign in "-_.~+/="}


@dataclass(frozen=True)
class Answer:
    """data: the JSON. kept: answered from the cache. old: past its time, used because the server could not be
    reached.
    left: requests the server still allows this hour, or None. given: the day the server gave it.
    """

    data: object
    kept: bool
    old: bool
    left: int | None = None
    given: date = date.min


@cache
def settings() -> dict:
    return read_toml(paths.reference("composition", "live.toml"))


def cache_file() -> Path:
    return paths.cache_dir() / "fdc.sqlite"


class FoodDataCentral:
    """A client. key: API key; offline: only what is kept. ``say`` is told of every wait.

    Raises FetchError for a key or an address that cannot be one, and when the kept answers cannot be opened.
    """

    def __init__(
        self,
        key: str = "",
        offline: bool = False,
        url: str = "",
        say: Callable[[str], None] = lambda text: None,
        sleep: Callable[[float], None] = time.sleep,
    ):
        import logging

        from requests_cache import CachedSession

        from labelgen.composition.transport import CarefulAdapter

        # what it would log is told by this module in words of its own
        logging.getLogger("requests_cache").setLevel(logging.CRITICAL)
        self.key = (key or os.environ.get(KEY_VARIABLE, "")).strip()
        self.url = (url or os.environ.get(URL_VARIABLE, "") or settings()["url"]).rstrip("/")
        if not (self.key.isascii() and f"0{self.key.translate(_MARKS)}".isalnum()):
            raise FetchError(
                "the API key holds signs that no key has: copy it again, without quotes or spaces"
            )
        if not self.url.startswith(("https://", "http://")):
            raise FetchError(
                f"the address in {URL_VARIABLE} does not begin with https://: mend it, or take the variable"
                " away"
            )
        self.offline, self.say, self.sleep = offline, say, sleep
        cache_file().parent.mkdir(parents=True, exist_ok=True)
        with _kept_file():
            self.session = CachedSession(
                str(cache_file().with_suffix("")),
                backend="sqlite",
                expire_after=timedelta(days=settings()["fresh_days"]),
                stale_if_error=True,
                allowable_codes=(200,),
                ignored_parameters=["X-Api-Key", "api_key"],
            )
        for scheme in ("https://", "http://"):
            self.session.mount(
                scheme, CarefulAdapter(self._look, settings()["largest"], settings()["longest_answer"])
            )

    def search(self, words: str, kinds: tuple[str, ...] = KINDS) -> tuple[list[tuple[str, str, str]], Answer]:
        """([(id, name, kind)], the answer) for words of a food's name."""
        answer = self._get(
            "/foods/search", {"query": words, "pageSize": settings()["page"], "dataType": ",".join(kinds)}
        )
        return read_hits(answer.data), answer

    def food(self, number: int) -> tuple[FetchedFood, Answer]:
        """One food by its FDC number."""
        answer = self._get(f"/food/{number}", {})
        return read_food(answer.data), answer

    def _look(self, address: str, body: bytes) -> None:
        """Only a good answer is kept: raises UnfitAnswer for any other."""
        from labelgen.composition.transport import UnfitAnswer

        if len(self.key) >= _SHORTEST_KEY and self.key.encode() in body:
            raise UnfitAnswer("its answer repeats your key, so nothing of it is kept")
        try:
            data = json.loads(body)
        except (ValueError, RecursionError):
            raise UnfitAnswer("its answer is not JSON", again=True) from None
        asked = address.partition("?")[0].rsplit("/", 1)[1]
        try:
            if asked == "search":
                read_hits(data)
            elif (got := read_food(data).id) != f"fdc/{asked}":
                raise UnfitAnswer(f"asked for fdc/{asked}, it answers with {got}: check the number")
        except PerVolume:
            return
        except FetchError as error:
            raise UnfitAnswer(str(error)) from None

    def _get(self, path: str, params: dict) -> Answer:
        import requests

        from labelgen.composition.transport import UnfitAnswer

        if not (self.key or self.offline):
            raise FetchError(
                f"FoodData Central wants a key: get a free one at {settings()['key_page']}, then --api-key"
                f" KEY or the variable {KEY_VARIABLE}"
            )
        s, problem = settings(), ""
        for attempt in range(1 if self.offline else s["tries"]):
            wait = s["wait"] * 2**attempt
            try:
                with _kept_file():
                    response = self.session.get(
                        self.url + path,
                        params=params,
                        headers={"X-Api-Key": self.key} if self.key else {},
                        timeout=(s["connect"], s["read"]),
                        only_if_cached=self.offline,
                        allow_redirects=False,
                    )
            except UnfitAnswer as error:
                problem = str(error)
                if not error.again:
                    raise FetchError(f"FoodData Central: {problem}; what is kept stays as it was") from None
            except requests.exceptions.RequestException as error:
                problem = f"it cannot be reached ({type(error).__name__})"
            else:
                if response.status_code == 200:
                    left = "" if response.from_cache else response.headers.get("X-RateLimit-Remaining", "")
                    given = response.created_at.date() if response.from_cache else date.today()
                    return Answer(
                        response.json(),
                        response.from_cache,
                        bool(response.from_cache and response.is_expired),
                        int(left) if left.isdecimal() else None,
                        given,
                    )
                if self.offline:
                    raise FetchError(
                        "nothing is kept for this question, and --offline asks nobody: ask once without"
                        " --offline"
                    )
                if response.status_code in (401, 403):
                    raise FetchError(
                        f"FoodData Central does not accept the key (HTTP {response.status_code}): check it,"
                        f" or get one at {s['key_page']}"
                    )
                if response.status_code == 404:
                    raise FetchError(f"FoodData Central has no {path.strip('/')}: check the number")
                if response.status_code not in _BUSY:
                    raise FetchError(
                        f"FoodData Central answers HTTP {response.status_code}: check what was asked for"
                    )
                problem = f"it answers HTTP {response.status_code}" + (
                    ", too many questions" if response.status_code == 429 else ""
                )
                wait = _asked_wait(response.headers.get("Retry-After", ""), wait)
            if wait > s["longest_wait"]:
                raise FetchError(
                    f"FoodData Central asks to wait {wait:.0f} s ({problem}): come back then; nothing was"
                    " changed"
                )
            if attempt + 1 < s["tries"]:
                self.say(f"FoodData Central: {problem}; trying again in {wait:g} s")
                self.sleep(wait)
        raise FetchError(
            f"FoodData Central: {problem}, {s['tries']} times: check the connection or come back later;"
            " what is kept stays as it was"
        )


def _asked_wait(text: str, otherwise: float) -> float:
    """The seconds a Retry-After header asks for, given as a number or as a day and time (RFC 9110,
    10.2.3).
    """
    from email.utils import parsedate_to_datetime

    if text.strip().isdecimal():
        return float(text)
    try:
        return max(otherwise, float(round((parsedate_to_datetime(text) - datetime.now(UTC)).total_seconds())))
    except (ValueError, TypeError):
        return otherwise


@contextmanager
def _kept_file():
    """Turns trouble with the file of kept answers into a FetchError."""
    try:
        yield
    except sqlite3.Error as error:
        raise FetchError(
            f"{cache_file()}: the kept answers cannot be used ({error}): 'labelgen foods kept --clear'"
            " deletes them, or name another folder in LABELGEN_CACHE"
        ) from None


def kept_answers() -> list[tuple[str, str]]:
    """(address, kept at) of every answer in the cache. Raises FetchError when they cannot be read."""
    if not cache_file().is_file():
        return []
    from requests_cache import CachedSession

    with _kept_file():
        session = CachedSession(str(cache_file().with_suffix("")), backend="sqlite")
        return sorted(
            (r.url, r.created_at.isoformat(timespec="seconds")) for r in session.cache.filter(expired=True)
        )


def clear_kept() -> int:
    """Deletes every kept answer, readable or not; returns how many could be read."""
    try:
        count = len(kept_answers())
    except FetchError:
        count = 0
    for path in cache_file().parent.glob("fdc.sqlite*"):
        path.unlink()
    return count
