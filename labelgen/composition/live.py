"""USDA FoodData Central over the network, asked politely and only when told to; answers are kept in the cache folder.

The key travels in a header, so that it stands in no address, no kept answer and no kitchen.
"""

from __future__ import annotations

import os
import time
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from functools import cache
from pathlib import Path

from labelgen import paths
from labelgen.composition.fdc import FetchedFood, read_food
from labelgen.errors import FetchError

KEY_VARIABLE = "FDC_API_KEY"
#: Another address of the same API, for a mirror.
URL_VARIABLE = "FDC_API_URL"
_BUSY = (429, 500, 502, 503, 504)


@dataclass(frozen=True)
class Answer:
    """data: the JSON. kept: answered from the cache. old: past its time, used because the server could not be reached.
    left: requests the server still allows this hour, or None."""

    data: object
    kept: bool
    old: bool
    left: int | None = None


@cache
def settings() -> dict:
    return tomllib.loads(paths.reference("composition", "live.toml").read_text(encoding="utf-8"))


def cache_file() -> Path:
    return paths.cache_dir() / "fdc.sqlite"


class FoodDataCentral:
    """A client. key: API key; offline: only what is kept. ``say`` is told of every wait."""

    def __init__(self, key: str = "", offline: bool = False, url: str = "", say: Callable[[str], None] = lambda text: None, sleep: Callable[[float], None] = time.sleep):
        from requests_cache import CachedSession

        self.key = key or os.environ.get(KEY_VARIABLE, "")
        self.url = (url or os.environ.get(URL_VARIABLE, "") or settings()["url"]).rstrip("/")
        self.offline, self.say, self.sleep = offline, say, sleep
        cache_file().parent.mkdir(parents=True, exist_ok=True)
        self.session = CachedSession(
            str(cache_file().with_suffix("")), backend="sqlite", expire_after=timedelta(days=settings()["fresh_days"]),
            stale_if_error=True, allowable_codes=(200,), ignored_parameters=["X-Api-Key", "api_key"],
        )  # fmt: skip

    def search(self, words: str, kinds: tuple[str, ...] = ("Foundation", "SR Legacy", "Survey (FNDDS)")) -> tuple[list[tuple[str, str, str]], Answer]:
        """([(id, name, kind)], the answer) for words of a food's name."""
        answer = self._get("/foods/search", {"query": words, "pageSize": settings()["page"], "dataType": ",".join(kinds)})
        try:
            return [(f"fdc/{int(f['fdcId'])}", str(f["description"]), str(f.get("dataType", ""))) for f in answer.data["foods"]], answer
        except (KeyError, TypeError, ValueError):
            raise FetchError("the server's answer is no list of foods as FoodData Central describes one: try again later") from None

    def food(self, number: int) -> tuple[FetchedFood, Answer]:
        """One food by its FDC number."""
        answer = self._get(f"/food/{number}", {})
        if not isinstance(answer.data, dict):
            raise FetchError("the server's answer is no food as FoodData Central describes one: try again later")
        return read_food(answer.data), answer

    def _get(self, path: str, params: dict) -> Answer:
        import requests

        if not (self.key or self.offline):
            raise FetchError(f"FoodData Central wants a key: get a free one at {settings()['key_page']}, then --api-key KEY or the variable {KEY_VARIABLE}")
        s, problem = settings(), ""
        for attempt in range(1 if self.offline else s["tries"]):
            wait = s["wait"] * 2**attempt
            try:
                response = self.session.get(
                    self.url + path, params=params, headers={"X-Api-Key": self.key} if self.key else {},
                    timeout=(s["connect"], s["read"]), only_if_cached=self.offline,
                )  # fmt: skip
            except requests.exceptions.RequestException as error:
                problem = f"it cannot be reached ({type(error).__name__})"
            else:
                if response.status_code == 200:
                    try:
                        data = response.json()
                    except ValueError:
                        problem = "its answer is not JSON"
                        self.session.cache.delete(urls=[response.url])
                        data = None
                    if data is not None:
                        left = response.headers.get("X-RateLimit-Remaining", "")
                        return Answer(data, response.from_cache, bool(response.from_cache and response.is_expired), int(left) if left.isdigit() else None)
                elif self.offline:
                    raise FetchError("nothing is kept for this question, and --offline asks nobody: ask once without --offline")
                elif response.status_code in (401, 403):
                    raise FetchError(f"FoodData Central does not accept the key (HTTP {response.status_code}): check it, or get one at {s['key_page']}")
                elif response.status_code == 404:
                    raise FetchError(f"FoodData Central has no {path.strip('/')}: check the number")
                elif response.status_code in _BUSY:
                    problem = f"it answers HTTP {response.status_code}" + (", too many questions" if response.status_code == 429 else "")
                    asked = response.headers.get("Retry-After", "")
                    wait = float(asked) if asked.isdigit() else wait
                else:
                    raise FetchError(f"FoodData Central answers HTTP {response.status_code}: check what was asked for")
            if wait > s["longest_wait"]:
                raise FetchError(f"FoodData Central asks to wait {wait:.0f} s ({problem}): come back then; nothing was changed")
            if attempt + 1 < s["tries"]:
                self.say(f"FoodData Central: {problem}; trying again in {wait:g} s")
                self.sleep(wait)
        raise FetchError(f"FoodData Central: {problem}, {s['tries']} times: check the connection or come back later; what is kept stays as it was")


def kept_answers() -> list[tuple[str, str]]:
    """(address, kept at) of every answer in the cache."""
    if not cache_file().is_file():
        return []
    from requests_cache import CachedSession

    session = CachedSession(str(cache_file().with_suffix("")), backend="sqlite")
    return sorted((r.url, r.created_at.isoformat(timespec="seconds")) for r in session.cache.filter(expired=True))


def clear_kept() -> int:
    """Deletes every kept answer; returns how many there were."""
    count = len(kept_answers())
    for path in cache_file().parent.glob("fdc.sqlite*"):
        path.unlink()
    return count
