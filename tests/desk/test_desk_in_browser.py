"""The desk's page in a real browser: by mouse, touch and keys, by two people at once, out of touch and back."""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from browser import DESKTOP, PHONE, WEAK_CONTRAST, launched
from builders import SAMPLES

from consist.changes import Take
from consist.desk import Desk, Who
from consist.desk.access import Codes, hosts_of
from consist.desk.save import save
from consist.desk.serve import _socket, desk_of
from consist.desk.served import Served
from consist.desk.server import app_of

__all__: list[str] = []

WAIT = 8000
STANDING = """(train) => [
  ...document.querySelectorAll(`ol.cars[data-train="${train}"] > li`)
].map((row) => row.dataset.car)"""


class Running:
    """A desk served on this machine for as long as a test lasts."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self.desk, self.journal, _ = desk_of(home)
        self.codes = Codes(guests="for guests")
        self.socket = _socket("127.0.0.1", 0)
        self.port = self.socket.getsockname()[1]
        self.start()

    @property
    def link(self) -> str:
        return f"http://127.0.0.1:{self.port}/?code={self.codes.desk}"

    @property
    def guest_link(self) -> str:
        return f"http://127.0.0.1:{self.port}/?code={self.codes.guests}"

    def start(self) -> None:
        self.served = Served(self.desk, self.codes, lambda who: save(self.home, self.desk, self.journal, who))
        config = uvicorn.Config(
            app_of(self.served, hosts_of(self.port)), log_level="warning", lifespan="off", timeout_graceful_shutdown=0
        )
        self.server = uvicorn.Server(config)
        self.server.install_signal_handlers = lambda: None  # type: ignore[attr-defined]
        self.thread = threading.Thread(target=self.server.run, kwargs={"sockets": [self.socket]}, daemon=True)
        self.thread.start()

    def stop(self) -> None:
        if self.served._loop is not None:
            self.served._loop.call_soon_threadsafe(self.served.close)
        self.server.should_exit = True
        self.thread.join(10.0)
        self.journal.close()
        self.socket.close()


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with launched() as found:
        yield found


@pytest.fixture
def running(tmp_path: Path) -> Iterator[Running]:
    shutil.copytree(SAMPLES / "sunday_shelf", tmp_path / "sessions" / "sunday_shelf")
    shutil.copytree(SAMPLES.parent / "layouts", tmp_path / "layouts")
    made = Running(tmp_path / "sessions" / "sunday_shelf")
    yield made
    made.stop()


@contextmanager
def at_desk(browser: Any, link: str, viewport: dict[str, int] = DESKTOP, **more: Any) -> Iterator[Any]:
    """A page of the desk in a window of its own, which must complain of nothing."""
    context = browser.new_context(viewport=viewport, **more)
    page, complaints = context.new_page(), []
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto(link)
    page.wait_for_selector("article.train", timeout=WAIT)
    page.wait_for_function("() => document.getElementById('touch').textContent.startsWith('In touch')", timeout=WAIT)
    yield page
    quiet = [text for text in complaints if "ERR_" not in text and "Failed to load" not in text]
    assert quiet == []
    context.close()


def said(page: Any, text: str) -> None:
    page.wait_for_function(
        "(text) => document.getElementById('said').textContent.includes(text)", arg=text, timeout=WAIT
    )


def cars_of(desk: Desk, train: str = "Creamery 5") -> list[str]:
    return [each.car.name for each in desk.session.train(train).cars]


def test_the_code_leaves_the_address_bar_and_the_page_is_the_desk(browser: Any, running: Running) -> None:
    with at_desk(browser, running.link) as page:
        assert page.url == f"http://127.0.0.1:{running.port}/"
        assert page.locator("article.train").count() == 3
        assert "code" not in page.evaluate("document.cookie")
        assert page.evaluate(STANDING, "Creamery 5") == cars_of(running.desk)


def test_a_car_is_moved_by_keys(browser: Any, running: Running) -> None:
    first, second, third = cars_of(running.desk)[:3]
    with at_desk(browser, running.link) as page:
        page.locator(f'.grip[data-car="{third}"]').focus()
        page.keyboard.press("Enter")
        said(page, f"{third} is picked up")
        page.keyboard.press("ArrowUp")
        page.keyboard.press("ArrowUp")
        said(page, f"{third}: spot 1 of Creamery 5.")
        page.keyboard.press("Enter")
        said(page, "Creamery 5: margin")
        assert cars_of(running.desk)[:3] == [third, first, second]
        assert page.evaluate(STANDING, "Creamery 5")[:3] == [third, first, second]
        assert page.evaluate("document.activeElement.dataset.car") == third
        page.keyboard.press("Space")
        page.keyboard.press("ArrowDown")
        page.keyboard.press("Escape")
        said(page, f"{third} stays where it is.")
        assert running.desk.revision == 1
        page.keyboard.press("Enter")
        page.keyboard.press("ArrowRight")
        said(page, f"{third}: spot 1 of Quarry Mixed 3.")
        page.keyboard.press("Enter")
        said(page, "Quarry Mixed 3: margin")
        assert cars_of(running.desk, "Quarry Mixed 3")[0] == third


def test_a_car_is_dragged_by_mouse_within_a_train_and_into_another(browser: Any, running: Running) -> None:
    cars, others = cars_of(running.desk), cars_of(running.desk, "Quarry Mixed 3")
    with at_desk(browser, running.link, {"width": 1280, "height": 1400}) as page:
        drag(page, cars[4], cars[1])
        said(page, "Creamery 5: margin")
        assert cars_of(running.desk) == [cars[0], cars[4], *cars[1:4], cars[5]]
        drag(page, cars[4], others[2])
        said(page, "Quarry Mixed 3: margin")
        assert cars_of(running.desk, "Quarry Mixed 3") == [*others[:2], cars[4], *others[2:]]
        assert running.desk.revision == 2


def test_what_is_shown_already_is_not_drawn_again(
    browser: Any, running: Running, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A page that asks for the state, as one that was out of touch does, keeps what a drag may be holding."""
    monkeypatch.setattr("consist.desk.server.HERE_SECONDS", 0.3)
    cars = cars_of(running.desk)
    with at_desk(browser, running.link, {"width": 1280, "height": 1400}) as page:
        drag(page, cars[4], cars[1])
        said(page, "Creamery 5: margin")
        page.evaluate("document.querySelector('.grip').dataset.kept = 'yes'")
        page.evaluate("document.body.classList.add('away')")
        page.wait_for_function("() => !document.body.classList.contains('away')", timeout=WAIT)
        assert page.evaluate("document.querySelector('.grip').dataset.kept") == "yes"
        running.desk.change(Who("x", "Bob"), 1, [Take((cars[0],))])
        page.wait_for_selector(f'#idle li[data-car="{cars[0]}"]', timeout=WAIT)


def test_an_own_change_that_comes_as_news_before_its_answer_is_drawn_once(browser: Any, running: Running) -> None:
    cars = cars_of(running.desk)
    with at_desk(browser, running.link, {"width": 1280, "height": 1400}) as page:
        page.evaluate("""() => {
          window.drawn = 0;
          const count = (list) => list.forEach((one) => (window.drawn += one.addedNodes.length));
          new MutationObserver(count).observe(document.getElementById('trains'), { childList: true });
        }""")
        page.route("**/changes", lambda route: answered_late(route))
        with page.expect_response("**/changes"):
            drag(page, cars[4], cars[1])
        page.wait_for_timeout(200)
        assert page.evaluate(STANDING, "Creamery 5")[:2] == [cars[0], cars[4]]
        assert page.evaluate("window.drawn") == 1


def test_a_state_that_comes_after_a_newer_change_is_not_shown(
    browser: Any, running: Running, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("consist.desk.server.HERE_SECONDS", 1.5)
    car = cars_of(running.desk)[0]

    def overtaken(route: Any) -> None:
        answered_late(route, lambda: running.desk.change(Who("x", "Bob"), 0, [Take((car,))]))

    with at_desk(browser, running.link) as page:
        page.route("**/state", overtaken, times=1)
        page.evaluate("document.body.classList.add('away')")
        page.wait_for_function("() => !document.body.classList.contains('away')", timeout=WAIT)
        assert page.locator(f'#idle li[data-car="{car}"]').count() == 1


def answered_late(route: Any, meanwhile: Callable[[], object] = lambda: None) -> None:
    """Answer as the desk did, when what came meanwhile has been told."""
    answer = route.fetch()
    meanwhile()
    time.sleep(0.5)
    route.fulfill(response=answer)


def drag(page: Any, car: str, ahead_of: str) -> None:
    grip, goal = (page.locator(f'.grip[data-car="{name}"]') for name in (car, ahead_of))
    grip.scroll_into_view_if_needed()
    box, target = grip.bounding_box(), goal.bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(target["x"] + 20, target["y"] + 4, steps=6)
    page.mouse.up()


def test_a_car_is_moved_by_taps_on_a_phone(browser: Any, running: Running) -> None:
    cars = cars_of(running.desk)
    with at_desk(browser, running.link, PHONE, has_touch=True, is_mobile=True) as page:
        page.locator(f'.grip[data-car="{cars[0]}"]').tap()
        said(page, f"{cars[0]} is picked up")
        page.locator(f'.grip[data-car="{cars[2]}"]').tap()
        said(page, "Creamery 5: margin")
        assert cars_of(running.desk)[:3] == [cars[1], cars[2], cars[0]]
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


def test_what_grew_worse_is_plain_and_undo_takes_it_back(browser: Any, running: Running) -> None:
    with at_desk(browser, running.link) as page:
        light = running.desk.checks["Quarry Mixed 3"]
        assert light.suggestion is not None
        page.get_by_role("button", name="Take the better order").first.click()
        said(page, "Quarry Mixed 3: margin")
        now = running.desk.checks["Quarry Mixed 3"]
        assert (now.margin or 9.0) > (light.margin or 0.0)
        assert page.locator("article.train", has_text="Quarry Mixed 3").locator(".worse").count() == 0
        page.get_by_role("button", name="Undo my last change").click()
        said(page, "Quarry Mixed 3: margin")
        page.locator("article.train", has_text="Quarry Mixed 3").locator(".worse").wait_for(timeout=WAIT)
        assert cars_of(running.desk, "Quarry Mixed 3") == [car.car for car in light.cars]


def test_engines_loads_ticks_and_cars_taken_out(browser: Any, running: Running) -> None:
    with at_desk(browser, running.link) as page:
        engine = running.desk.session.train("Creamery 5").engines[0].name
        page.get_by_role("button", name=f"Take engine {engine} off Creamery 5").click()
        said(page, "Creamery 5")
        assert running.desk.session.train("Creamery 5").engines == ()
        page.get_by_label("Put another engine on Creamery 5, at the head end").select_option(engine)
        page.wait_for_function("() => document.querySelectorAll('#done li').length === 2", timeout=WAIT)
        assert [each.name for each in running.desk.session.train("Creamery 5").engines] == [engine]
        car = cars_of(running.desk)[0]
        page.get_by_role("button", name=f"Take {car} out of Creamery 5").click()
        page.wait_for_selector(f'#idle li[data-car="{car}"]', timeout=WAIT)
        box = page.locator("#tasks input").first
        box.check()
        page.wait_for_function("() => document.querySelectorAll('#done li').length === 4", timeout=WAIT)
        assert len(running.desk.ticked) == 1
        page.reload()
        page.wait_for_selector("#tasks input:checked", timeout=WAIT)


def test_two_people_see_each_others_changes(browser: Any, running: Running) -> None:
    car = cars_of(running.desk)[0]
    with at_desk(browser, running.link) as ada, at_desk(browser, running.guest_link) as guest:
        ada.fill("#name", "Ada <b>")
        ada.get_by_role("button", name="Use it").click()
        said(ada, "You are Ada <b> here.")
        ada.get_by_role("button", name=f"Take {car} out of Creamery 5").click()
        said(guest, f"Ada <b>: {car} out of Creamery 5.")
        guest.wait_for_selector(f'#idle li[data-car="{car}"]', timeout=WAIT)
        assert guest.get_by_role("button", name="Save").count() == 0
        assert guest.locator(".grip:visible").count() == 0
        assert guest.locator("b", has_text="here").count() == 0


def test_at_the_door_a_car_is_asked_about_and_set_in(browser: Any, running: Running) -> None:
    with at_desk(browser, running.link) as page:
        page.fill("#door-car", "QRS 9")
        page.click("text=Where may it ride?")
        said(page, "no table has a car QRS 9; say the length of its body")
        page.fill("#door-weight", "1.1 oz")
        page.fill("#door-length", "3.2 in")
        page.click("text=Where may it ride?")
        page.get_by_role("button", name="Set it in").first.click()
        page.wait_for_function("() => document.querySelectorAll('#done li').length === 1", timeout=WAIT)
        assert "QRS 9" in running.desk.session.cars
        assert any("QRS 9" in cars_of(running.desk, train.name) for train in running.desk.session.trains)


def test_out_of_touch_it_says_so_shows_nothing_old_as_new_and_comes_back(browser: Any, running: Running) -> None:
    with at_desk(browser, running.link) as page:
        page.context.set_offline(True)
        page.wait_for_function("() => document.body.classList.contains('away')", timeout=WAIT)
        assert "may be old" in page.locator("#touch").inner_text()
        assert page.locator("#undo").is_disabled()
        car = cars_of(running.desk)[0]
        running.desk.change(Who("x", "Bob"), 0, [Take((car,))])
        page.context.set_offline(False)
        page.wait_for_selector(f'#idle li[data-car="{car}"]', timeout=2 * WAIT)
        page.wait_for_function("() => !document.body.classList.contains('away')", timeout=WAIT)
        assert not page.locator("#undo").is_disabled()


def test_a_save_is_told_and_in_the_tables(browser: Any, running: Running) -> None:
    car = cars_of(running.desk)[0]
    with at_desk(browser, running.link) as page:
        assert page.locator("#save").is_disabled()
        page.get_by_role("button", name=f"Take {car} out of Creamery 5").click()
        page.wait_for_selector(f'#idle li[data-car="{car}"]', timeout=WAIT)
        page.click("#save")
        said(page, "Saved into the session's tables")
        assert car not in (running.home / "trains.csv").read_text()
        assert page.locator("#save").is_disabled()


def test_the_whole_sheet_is_that_of_the_report(browser: Any, running: Running) -> None:
    with at_desk(browser, running.link) as page:
        article = page.locator("article.train").first
        article.locator("summary", has_text="The whole sheet").first.click()
        article.locator(".sheet-here svg.chart").first.wait_for(timeout=WAIT)
        assert "Standing order, head end first" in article.inner_text()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("viewport", [PHONE, DESKTOP], ids=("phone", "desktop"))
def test_everybody_can_read_and_reach_it(
    browser: Any, running: Running, viewport: dict[str, int], scheme: str
) -> None:
    """Against axe, an engine of accessibility rules (WCAG 2 A and AA), and every text's contrast by WCAG 1.4.3."""
    from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]

    with at_desk(browser, running.link, viewport, color_scheme=scheme, bypass_csp=True) as page:
        found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa"]})
        told = [(each["id"], each["nodes"][0]["html"][:120]) for each in found.response["violations"]]
        assert told == []
        assert page.evaluate(WEAK_CONTRAST)["weak"] == []
        assert page.evaluate("document.documentElement.scrollWidth") <= viewport["width"]
