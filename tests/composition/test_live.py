"""Fetching from FoodData Central, against a server on this machine that speaks its API (shape: USDA's public OpenAPI
description, from memory). The real network is never asked."""

import json
import threading
import time
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest

from labelgen.cli import main
from labelgen.composition import live
from labelgen.composition.fdc import read_food, read_release
from labelgen.errors import FetchError
from tests.kitchens import write

FOOD = {
    "fdcId": 900001, "description": "Flour, lupin, example", "dataType": "Foundation", "publicationDate": "2026-04-01",
    "foodNutrients": [
        {"nutrient": {"number": n, "unitName": u}, "amount": a}
        for n, a, u in (("203", 40.0, "g"), ("204", 9.0, "g"), ("205", 37.0, "g"), ("291", 30.0, "g"), ("269", 3.0, "g"), ("255", 10.0, "g"), ("207", 4.0, "g"),
                        ("208", 350.0, "kcal"), ("268", 1464.0, "kJ"), ("307", 15.0, "mg"), ("301", 0.09, "g"), ("324", 40.0, "IU"), ("606", 1.2, "g"))
    ],
    "foodPortions": [{"amount": 0.5, "measureUnit": {"name": "cup"}, "gramWeight": 60.0}],
}  # fmt: skip
HITS = {"totalHits": 1, "foods": [{"fdcId": 900001, "description": "Flour, lupin, example", "dataType": "Foundation"}]}


class Server(BaseHTTPRequestHandler):
    """Answers with what ``plan`` holds next, the last for ever; remembers what was asked."""

    plan: list = []
    asked: list = []

    def do_GET(self):
        Server.asked.append((self.path, dict(self.headers)))
        answer = Server.plan.pop(0) if len(Server.plan) > 1 else Server.plan[0]
        status, body, headers = (*answer, {})[:3] if isinstance(answer, tuple) else (200, answer, {})
        if body == "slow":
            time.sleep(1.5)
            body = FOOD
        data = body if isinstance(body, bytes) else json.dumps(body).encode()
        self.send_response(status)
        self.send_header("Content-Type", "application/json")
        cut = headers.get("cut", False)
        self.send_header("Content-Length", str(len(data)))
        for name, value in ((n, v) for n, v in headers.items() if n != "cut"):
            self.send_header(name, value)
        self.end_headers()
        try:
            self.wfile.write(data[: len(data) // 2] if cut else data)
        except OSError:
            pass
        self.close_connection = True

    def log_message(self, *args):
        pass


@pytest.fixture
def server(tmp_path, monkeypatch):
    monkeypatch.setenv("LABELGEN_CACHE", str(tmp_path / "cache"))
    monkeypatch.setenv(live.URL_VARIABLE, "")
    httpd = ThreadingHTTPServer(("127.0.0.1", 0), Server)
    httpd.daemon_threads = True
    monkeypatch.setenv(live.URL_VARIABLE, f"http://127.0.0.1:{httpd.server_port}/fdc/v1")
    monkeypatch.setattr(live, "settings", lambda patient=live.settings(): patient | {"read": 0.5, "connect": 0.5, "wait": 0.01})
    Server.plan, Server.asked = [FOOD], []
    threading.Thread(target=httpd.serve_forever, daemon=True).start()
    yield httpd
    httpd.shutdown()
    httpd.server_close()


def client(**options):
    waits = []
    return live.FoodDataCentral("secret-key", sleep=waits.append, **options), waits


def test_a_food_is_fetched_once_and_then_kept(server):
    food, answer = client()[0].food(900001)
    assert (food.id, food.kind, food.published) == ("fdc/900001", "Foundation", "2026-04-01")
    assert food.values["PROCNT"] == 40 and food.values["ENERC"] == 350 and food.values["CA"] == pytest.approx(90) and "VITD" not in food.values
    assert food.portions == (("0.5 cup", 60.0),) and not answer.kept
    again, answer = client()[0].food(900001)
    assert again == food and answer.kept and len(Server.asked) == 1


def test_the_key_is_sent_but_never_kept(server, tmp_path):
    client()[0].food(900001)
    path, headers = Server.asked[0]
    assert headers["X-Api-Key"] == "secret-key" and "secret" not in path
    assert all(b"secret-key" not in p.read_bytes() for p in (tmp_path / "cache").rglob("*") if p.is_file())


@pytest.mark.parametrize("bad", [(500, {}), (429, {}), (503, {}), (200, b"{ not json"), (200, FOOD, {"cut": True}), (200, "slow")], ids=["500", "429", "503", "malformed", "cut off", "slow"])
def test_trouble_is_waited_out(server, bad):
    Server.plan = [bad, bad, FOOD]
    one, waits = client()
    assert one.food(900001)[0].id == "fdc/900001"
    assert waits == [0.01, 0.02]


@pytest.mark.parametrize("bad, words", [((500, {}), "HTTP 500"), ((429, {}), "too many questions"), ((200, b"<html>"), "not JSON"), ((200, FOOD, {"cut": True}), "cannot be reached")])
def test_lasting_trouble_is_said_and_the_cache_stays(server, bad, words):
    client()[0].search("lupin") if Server.plan.__setitem__(0, HITS) is None else None
    before = live.kept_answers()
    Server.plan = [bad]
    with pytest.raises(FetchError, match=words):
        client()[0].food(900001)
    assert live.kept_answers() == before and len(before) == 1


def test_a_wish_to_wait_is_respected(server):
    Server.plan = [(429, {}, {"Retry-After": "7"}), FOOD]
    one, waits = client()
    one.food(900001)
    assert waits == [7]
    Server.plan = [(429, {}, {"Retry-After": "3600"})]
    with pytest.raises(FetchError, match="asks to wait 3600 s"):
        client()[0].food(900002)


@pytest.mark.parametrize("status, words", [(404, "has no food/900001: check the number"), (403, "does not accept the key"), (400, "HTTP 400")])
def test_what_waiting_cannot_mend_is_said_at_once(server, status, words):
    Server.plan = [(status, {})]
    one, waits = client()
    with pytest.raises(FetchError, match=words):
        one.food(900001)
    assert not waits and len(Server.asked) == 1


def test_an_old_answer_is_used_when_the_server_is_down(server, monkeypatch):
    patient = live.settings()
    monkeypatch.setattr(live, "settings", lambda: patient | {"fresh_days": 1e-9})
    client()[0].food(900001)
    Server.plan = [(500, {})]
    _, answer = client()[0].food(900001)
    assert answer.kept and answer.old


def test_offline_asks_nobody(server):
    with pytest.raises(FetchError, match="nothing is kept"):
        client(offline=True)[0].food(900001)
    assert not Server.asked
    client()[0].food(900001)
    assert client(offline=True)[0].food(900001)[1].kept and len(Server.asked) == 1


def test_no_key_is_said(server, monkeypatch):
    monkeypatch.delenv(live.KEY_VARIABLE, raising=False)
    with pytest.raises(FetchError, match="get a free one"):
        live.FoodDataCentral().food(1)


@pytest.mark.parametrize("data", [[], {"fdcId": 1}, {"fdcId": "x", "description": "y"}, {"fdcId": 1, "description": "y", "foodNutrients": ["z"]}, "text"])
def test_an_answer_of_another_shape_is_refused(server, data):
    Server.plan = [data]
    with pytest.raises(FetchError, match="is no food"):
        client()[0].food(900001)


def test_figures_per_100_ml_are_refused():
    with pytest.raises(FetchError, match="per 100 mL"):
        read_food(FOOD | {"servingSizeUnit": "ml"})


def test_a_fetched_food_makes_the_same_label_offline(server, tmp_path, capsys):
    kitchen = write(
        tmp_path / "k", "lupin-flour: {print: lupin flour, food: fdc/900001}\n",
        "formulations:\n  a: {ingredients: [1 cup lupin-flour], makes: 4}\nproducts:\n  p: {name: P, of: a, pieces: 4, category: cookies}\n",
    )
    assert main(["foods", "fetch", "900001", "--api-key", "secret-key", "--kitchen", str(kitchen)]) == 0
    text = (kitchen / "foods" / "fdc-900001.yaml").read_text(encoding="utf-8")
    assert "secret-key" not in text and "published: '2026-04-01'" in text
    server.shutdown()
    live.clear_kept()
    capsys.readouterr()
    main(["panel", "p", "--kitchen", str(kitchen), "--json"])
    data = json.loads(capsys.readouterr().out)
    assert data["pack_g"] == pytest.approx(120) and data["per_100g"]["PROCNT"]["value"] == pytest.approx(40)
    assert data["per_100g"]["SUGAD"]["value"] is None
    main(["declare", "p", "--kitchen", str(kitchen)])
    assert [h["allergen"] for h in json.loads(capsys.readouterr().out)["contains"]] == ["lupin"]


@pytest.mark.parametrize("change", [("per: 100 g", "per: 100 mL"), ("40 g", "40 pints"), ("name: Flour", "nme: Flour"), ("PROCNT", "PROCXX")])
def test_a_spoilt_pin_is_a_finding_with_its_line(server, tmp_path, capsys, change):
    kitchen = write(tmp_path / "k", "lupin-flour: {print: lupin flour, food: fdc/900001}\n", "formulations:\n  a: {ingredients: [100 g lupin-flour], makes: 4}\nproducts:\n  p: {name: P, of: a, pieces: 4}\n")
    main(["foods", "fetch", "900001", "--api-key", "k", "--kitchen", str(kitchen)])
    pin = kitchen / "foods" / "fdc-900001.yaml"
    text = pin.read_text(encoding="utf-8")
    assert change[0] in text
    pin.write_text(text.replace(*change), encoding="utf-8")
    assert main(["check", str(kitchen)]) == 1
    assert "foods/fdc-900001.yaml:" in capsys.readouterr().out


def test_a_packaged_food_brings_the_allergens_of_its_packet(server, tmp_path, capsys):
    Server.plan = [FOOD | {"dataType": "Branded", "description": "Topping", "ingredients": "SUGAR, WHEY POWDER, SOY LECITHIN"}]
    kitchen = write(tmp_path / "k", "topping: {print: topping, food: fdc/900001}\n", "formulations:\n  a: {ingredients: [100 g topping], makes: 4}\nproducts:\n  p: {name: P, of: a, pieces: 4}\n")
    main(["foods", "fetch", "900001", "--api-key", "k", "--kitchen", str(kitchen)])
    capsys.readouterr()
    main(["declare", "p", "--kitchen", str(kitchen)])
    data = json.loads(capsys.readouterr().out)
    assert {"milk", "soy"} <= {h["allergen"] for h in data["contains"]}
    assert "WHEY POWDER" in "".join(r["text"] for r in data["ingredients"]).upper()


def test_a_release_folder_is_read(tmp_path):
    """The columns of USDA's CSV releases (from memory)."""
    files = {
        "food.csv": 'fdc_id,data_type,description,publication_date\n5,sr_legacy_food,"Flour, test",2019-04-01\n6,sample_food,No figures,2019-04-01\n',
        "nutrient.csv": "id,name,unit_name,nutrient_nbr\n1003,Protein,G,203\n1104,Vitamin A,IU,318\n1093,Sodium,MG,307\n",
        "food_nutrient.csv": "id,fdc_id,nutrient_id,amount\n1,5,1003,10.5\n2,5,1104,3\n3,5,1093,2\n",
        "measure_unit.csv": "id,name\n1000,cup\n",
        "food_portion.csv": "id,fdc_id,amount,measure_unit_id,modifier,gram_weight\n1,5,1,1000,,120\n",
    }
    for name, text in files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    (food,) = read_release(tmp_path)
    assert (food.id, food.values, food.portions) == ("fdc/5", {"PROCNT": 10.5, "NA": 2.0}, (("1 cup", 120.0),))
    (tmp_path / "nutrient.csv").unlink()
    with pytest.raises(FetchError, match="nutrient.csv is missing"):
        list(read_release(tmp_path))
