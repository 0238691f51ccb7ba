"""The measuring page by gauge, by finger and by keyboard, on a phone and on a tablet."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect
from tests.bench.browser import Screen, axe_faults, contrasts, picture, targets
from tests.bench.helpers import Served, served
from tests.bench.measuring import Hand, at_page, copied, log_of, open_job, readings_of

BORES = [
    "78.012", "78,009", "78.020", "78.018", "78.011", "+78.010",
    "78.015 mm", "78.014", "78.021", "78.016", "78.013", "78.009",
    "78.010", "78.012", "78.019", "78.017", "78.011", "78.008",
]  # fmt: skip


@pytest.fixture(scope="module")
def bench(laid_out: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A bench with a fresh job for every test that asks for one."""
    folder = copied(laid_out, tmp_path_factory.mktemp("measured") / "shop")
    for name in JOBS:
        open_job(folder, name)
    with served(folder, "--port", "0") as bench:
        yield bench


JOBS = [
    *(f"{what}-{kind}" for what in ("bores", "gaps", "look") for kind in ("phone", "tablet")),
    "keys", "slip", "haste", "wrong", "helper", "typed", "order", "tenfold", "units", "temps",
    "lost-focus", "right", "next",
]  # fmt: skip


def scrolled(hand: Hand) -> bool:
    """Whether anything of the page lies outside the screen, or was scrolled to."""
    return bool(
        hand.page.evaluate(
            "scrollY !== 0 || document.documentElement.scrollHeight > innerHeight"
            " || document.documentElement.scrollWidth > innerWidth"
            " || document.getElementById('stage').scrollHeight"
            "    > document.getElementById('stage').clientHeight + 1"
        )
    )


@pytest.mark.parametrize("kind", ["phone", "tablet"])
def test_eighteen_bores_by_gauge_with_no_tap_and_no_screen_keyboard(
    chromium_browser: Browser, bench: Served, kind: Screen
) -> None:
    job = f"bores-{kind}"
    with at_page(chromium_browser, bench, kind) as hand:
        hand.go("?feature=bore", job)
        seen = []
        for typed in BORES:
            seen.append(hand.position())
            assert hand.page.locator("#ready").inner_text() == "GAUGE READY"
            hand.gauge(typed, hand.chance.choice(["Enter", "Tab"]))
            expect(hand.page.locator("#position")).not_to_have_text(seen[-1])
            hand.page.wait_for_timeout(310)
            assert not scrolled(hand)
        hand.saved()
        assert hand.page.evaluate("window.keyboards") == 0
        assert hand.page.locator("#capture").get_attribute("inputmode") == "none"
        assert hand.taps <= 2
        picture(hand.page, f"measure-complete-{kind}")
        assert hand.position() == "bore: all 18 read"
        hand.gauge("78.010")
        expect(hand.page.locator("#told")).to_contain_text("78.010 came, but everything")
    assert seen[0] == "cylinder 1 · top · thrust · bore"
    assert seen[-1] == "cylinder 3 · foot · pin · bore"
    stored = readings_of(bench, job)
    assert [entry["typed"] for entry in stored] == [t.replace(" mm", "").lstrip("+") for t in BORES]
    assert all(entry["unit"] == "mm" for entry in stored)
    spots = [(entry["place"], *entry["spot"].values()) for entry in stored]
    assert len(set(spots)) == 18


@pytest.mark.parametrize("kind", ["phone", "tablet"])
def test_twelve_clearances_by_blades_with_three_taps_each_at_most(
    chromium_browser: Browser, bench: Served, kind: Screen
) -> None:
    job = f"gaps-{kind}"
    with at_page(chromium_browser, bench, kind) as hand:
        hand.go("?feature=gap", job)
        for number in range(12):
            before = hand.taps
            if number == 4:
                hand.tap("#do-sign")
            else:
                side = "in" in hand.position().split()
                goes = (12 if side else 21) + number % 3
                hand.tap(f".digit:has(:text-is('0.{goes}'))")
            expect(hand.page.locator("#distance")).to_contain_text("won't?")
            if number == 0:
                picture(hand.page, f"measure-blades-{kind}")
            place = hand.position()
            hand.tap("#do-enter" if number % 2 or number == 4 else '.digit.now:has-text("won\'t?")')
            expect(hand.page.locator("#position")).not_to_have_text(place)
            assert hand.taps - before <= 3
            assert not scrolled(hand)
        hand.saved()
        assert hand.page.evaluate("window.keyboards") == 0
    stored = readings_of(bench, job)
    assert len({entry["place"] for entry in stored}) == 12
    assert stored[0]["goes"] == "0.12"
    assert stored[0]["wont"] == "0.13"
    assert "goes" not in stored[4]
    assert stored[4]["wont"] == "0.03"
    assert all(entry["kind"] == "feeler" for entry in stored)


def test_nothing_but_a_keyboard(chromium_browser: Browser, bench: Served) -> None:
    """Readings, a strike-out, another order and another feature, all without a pointer."""
    with at_page(chromium_browser, bench, "tablet") as hand:
        hand.go("?feature=journal", "keys")
        keyboard = hand.page.keyboard
        hand.gauge("33.991")
        expect(hand.page.locator("#position")).to_contain_text("rear")
        for _ in range(12):
            keyboard.press("Tab")
            if hand.page.evaluate("document.activeElement.id") == "last-0":
                break
        expect(hand.page.locator("#last-0")).to_be_focused()
        expect(hand.page.locator("#ready")).to_contain_text("NOT READY")
        keyboard.press("Enter")
        expect(hand.page.locator("#position")).to_contain_text("front")
        keyboard.press("Escape")
        expect(hand.page.locator("#capture")).to_be_focused()
        hand.gauge("33.992")
        expect(hand.page.locator("#position")).to_contain_text("rear")
        hand.page.locator("#do-what").focus()
        keyboard.press("Enter")
        expect(hand.page.locator("#lists")).to_be_visible()
        hand.page.locator("#lists .tap", has_text="valve gear").focus()
        keyboard.press("Enter")
        hand.page.locator("#lists .tap", has_text="tip").first.focus()
        keyboard.press("Space")
        expect(hand.page.locator("#position")).to_contain_text("tip")
        hand.gauge("45.02")
        hand.saved()
    assert [entry["typed"] for entry in readings_of(bench, "keys")] == ["33.992", "45.02"]


def test_a_digit_typed_anywhere_and_a_lost_focus_go_to_the_field(
    chromium_browser: Browser, bench: Served
) -> None:
    with at_page(chromium_browser, bench, "tablet") as hand:
        hand.go("?feature=journal", "lost-focus")
        hand.page.locator("#do-skip").focus()
        hand.gauge("33.991")
        expect(hand.page.locator("#position")).to_contain_text("rear")
        hand.page.evaluate("document.activeElement.blur()")
        expect(hand.page.locator("#ready")).to_have_text("GAUGE READY")
        hand.tap("#position")
        expect(hand.page.locator("#capture")).to_be_focused()
        hand.gauge("", "Enter")
        expect(hand.page.locator("#told")).to_contain_text("without a number")
        hand.gauge("33.99.1")
        expect(hand.page.locator("#told")).to_contain_text("'33.99.1' is not a number")
        hand.gauge("33.9 kg?")
        expect(hand.page.locator("#told")).to_contain_text("is not a number")
        hand.gauge("33.990")
        hand.saved()
    assert [entry["typed"] for entry in readings_of(bench, "lost-focus")] == ["33.991", "33.990"]


def test_typed_by_finger_on_our_own_keys(chromium_browser: Browser, bench: Served) -> None:
    with at_page(chromium_browser, bench, "phone") as hand:
        hand.go("?feature=tip", "typed")
        for key in ("4", "5"):
            hand.tap(f".digit:has(:text-is('{key}'))")
        hand.tap("#do-mark")
        hand.tap("#do-mark")
        expect(hand.page.locator("#told")).to_contain_text("a decimal mark already")
        for key in ("0", "9"):
            hand.tap(f".digit:has(:text-is('{key}'))")
        hand.tap("#do-back")
        hand.tap(".digit:has(:text-is('2'))")
        hand.tap("#do-sign")
        assert hand.page.input_value("#capture") == "-45.02"
        hand.tap("#do-sign")
        hand.tap("#do-enter")
        hand.saved()
        assert hand.page.evaluate("window.keyboards") == 0
    (reading,) = readings_of(bench, "typed")
    assert reading["typed"] == "45.02"


def test_keys_act_when_the_finger_is_lifted(chromium_browser: Browser, bench: Served) -> None:
    with at_page(chromium_browser, bench, "desk") as hand:
        hand.go("?feature=tip", "typed")
        box = hand.page.locator(".digit:has(:text-is('4'))").bounding_box()
        assert box
        hand.page.mouse.move(box["x"] + 9, box["y"] + 9)
        hand.page.mouse.down()
        assert hand.page.input_value("#capture") == ""
        hand.page.mouse.move(2, 2)
        hand.page.mouse.up()
        assert hand.page.input_value("#capture") == ""


def test_a_turn_of_the_thimble_is_asked_and_put_right_by_one_tap(
    chromium_browser: Browser, bench: Served
) -> None:
    with at_page(chromium_browser, bench, "phone") as hand:
        hand.go("?feature=journal", "slip")
        hand.gauge("33.490")
        expect(hand.page.locator("#ask")).to_contain_text("33.990")
        assert hand.page.evaluate("document.documentElement.dataset.sounded") == "doubt"
        picture(hand.page, "measure-question-phone")
        assert not scrolled(hand)
        hand.tap("#ask .tap")
        expect(hand.page.locator("#ask")).to_be_hidden()
        hand.saved()
        hand.gauge("33.991")
        hand.saved()
        hand.page.wait_for_timeout(400)
        expect(hand.page.locator("#ask")).to_be_hidden()
    log = log_of(bench, "slip")
    assert [entry["typed"] for entry in readings_of(bench, "slip")] == ["33.990", "33.991"]
    strike = next(entry for entry in log if entry["kind"] == "strike")
    note = next(entry for entry in log if entry["kind"] == "note")
    assert "thimble" in strike["reason"]
    assert note["text"].startswith("33.990 mm taken for 33.490")
    assert note["place"] == "main/1"


def test_right_as_read_is_remembered_also_by_the_next_device(
    chromium_browser: Browser, bench: Served
) -> None:
    with at_page(chromium_browser, bench, "tablet") as hand:
        hand.go("?feature=journal", "right")
        hand.gauge("33.490")
        expect(hand.page.locator("#ask")).to_contain_text("33.990")
        hand.tap("#ask .tap:has-text('right as read')")
        hand.saved()
    with at_page(chromium_browser, bench, "phone") as other:
        other.go("?feature=journal", "right")
        other.page.wait_for_timeout(600)
        expect(other.page.locator("#ask")).to_be_hidden()
    (reading,) = readings_of(bench, "right")
    assert reading["typed"] == "33.490"


def test_a_decimal_mark_out_of_place(chromium_browser: Browser, bench: Served) -> None:
    with at_page(chromium_browser, bench, "tablet") as hand:
        hand.go("?feature=bore", "tenfold")
        hand.gauge("780.12")
        expect(hand.page.locator("#ask")).to_contain_text("78.012")
        hand.tap("#ask .tap")
        hand.saved()
    assert [entry["typed"] for entry in readings_of(bench, "tenfold")] == ["78.012"]


def test_another_unit_than_usual_is_asked(chromium_browser: Browser, bench: Served) -> None:
    with at_page(chromium_browser, bench, "tablet") as hand:
        hand.go("?feature=bore", "units")
        hand.gauge("3.0713in")
        expect(hand.page.locator("#ask")).to_contain_text("3.0713 in")
        hand.tap("#ask .tap")
        hand.saved()
        expect(hand.page.locator("#ask")).to_be_hidden()
    (reading,) = readings_of(bench, "units")
    assert (reading["typed"], reading["unit"]) == ("3.0713", "in")


_TYPED_TWICE = """() => {
  const field = document.activeElement;
  for (const typed of ["78.012", "78.013"]) {
    field.value = typed;
    field.dispatchEvent(new Event("input", {bubbles: true}));
    const enter = {key: "Enter", bubbles: true, cancelable: true};
    field.dispatchEvent(new KeyboardEvent("keydown", enter));
  }
}"""


def test_two_readings_in_haste_are_both_kept_and_asked(
    chromium_browser: Browser, bench: Served
) -> None:
    with at_page(chromium_browser, bench, "tablet") as hand:
        hand.go("?feature=bore", "haste")
        # In one go, as a gauge pressed twice sends them: a slow machine must not part them.
        hand.page.evaluate(_TYPED_TWICE)
        expect(hand.page.locator("#ask")).to_contain_text("Two readings within 0.3 s")
        hand.saved()
        assert [e["typed"] for e in readings_of(bench, "haste")] == ["78.012", "78.013"]
        hand.tap("#ask .tap:has-text('One press')")
        expect(hand.page.locator("#position")).to_have_text("cylinder 1 · top · pin · bore")
        hand.saved()
    assert [e["typed"] for e in readings_of(bench, "haste")] == ["78.012"]


def test_that_one_was_wrong_skip_previous_and_last_again(
    chromium_browser: Browser, bench: Served
) -> None:
    with at_page(chromium_browser, bench, "tablet") as hand:
        hand.go("?feature=bore", "wrong")
        hand.gauge("78.012")
        expect(hand.page.locator("#position")).to_contain_text("pin")
        hand.tap("#last-0")
        expect(hand.page.locator("#position")).to_contain_text("top · thrust")
        expect(hand.page.locator("#last-0")).to_contain_text("undo")
        hand.gauge("78.014")
        expect(hand.page.locator("#position")).to_contain_text("pin")
        hand.tap("#do-repeat")
        expect(hand.page.locator("#position")).to_contain_text("again, number 2")
        hand.page.wait_for_timeout(310)
        hand.gauge("78.015")
        hand.tap("#do-skip")
        expect(hand.page.locator("#position")).to_contain_text("middle · thrust")
        hand.tap("#do-previous")
        expect(hand.page.locator("#position")).to_contain_text("top · pin")
        hand.saved()
    kept = readings_of(bench, "wrong")
    assert [(entry["typed"], entry["attempt"]) for entry in kept] == [("78.014", 1), ("78.015", 2)]


def test_what_comes_next_is_one_tap_away(chromium_browser: Browser, bench: Served) -> None:
    with at_page(chromium_browser, bench, "tablet") as hand:
        hand.go("?feature=piston", "next")
        for typed in ("77.970", "77.971", "77.969"):
            before = hand.position()
            hand.gauge(typed)
            expect(hand.page.locator("#position")).not_to_have_text(before)
            hand.page.wait_for_timeout(310)
        expect(hand.page.locator("#do-skip")).to_contain_text("piston-pin")
        hand.tap("#do-skip")
        expect(hand.page.locator("#position")).to_have_text("cylinder 1 · left · piston-pin")
        hand.saved()


def test_sleeve_and_thimble_as_read(chromium_browser: Browser, bench: Served) -> None:
    with at_page(chromium_browser, bench, "tablet") as hand:
        hand.go("?feature=journal", "helper")
        hand.tap("#do-helper")
        hand.tap("#do-helper")
        hand.gauge("33.7")
        expect(hand.page.locator("#told")).to_contain_text("steps of 0.5")
        hand.gauge("33.5")
        hand.gauge("55")
        expect(hand.page.locator("#told")).to_contain_text("0 to 49")
        hand.gauge("48")
        expect(hand.page.locator("#distance")).to_contain_text("33.5 + 48 = 33.98")
        hand.gauge("7")
        hand.saved()
    (reading,) = readings_of(bench, "helper")
    assert reading["typed"] == "33.987"


def test_all_tops_first(chromium_browser: Browser, bench: Served) -> None:
    with at_page(chromium_browser, bench, "tablet") as hand:
        hand.go("?feature=bore", "order")
        hand.tap("#do-order")
        seen = []
        for number in range(7):
            seen.append(hand.position())
            hand.gauge(f"78.01{number}")
            expect(hand.page.locator("#position")).not_to_have_text(seen[-1])
            hand.page.wait_for_timeout(310)
        hand.saved()
    assert [" ".join(at.split(" · ")[:3]) for at in seen] == [
        "cylinder 1 top thrust", "cylinder 1 top pin", "cylinder 2 top thrust",
        "cylinder 2 top pin", "cylinder 3 top thrust", "cylinder 3 top pin",
        "cylinder 1 middle thrust",
    ]  # fmt: skip


def test_instrument_and_temperatures_once_and_then_shown(
    chromium_browser: Browser, bench: Served
) -> None:
    with at_page(chromium_browser, bench, "tablet") as hand:
        hand.go("?feature=bore", "temps")
        hand.tap("#do-temps")
        expect(hand.page.locator("#position")).to_contain_text("temperature of the part")
        hand.gauge("221")
        expect(hand.page.locator("#told")).to_contain_text("no temperature")
        hand.gauge("22.5")
        hand.gauge("20.5")
        hand.tap("#do-tool")
        hand.tap("#lists .tap:has-text('micrometer-0.001-a')")
        told = hand.page.locator("#with")
        expect(told).to_have_text("micrometer-0.001-a · part 22.5 °C · gauge 20.5 °C")
        hand.gauge("78.012")
        hand.saved()
        hand.go("?feature=bore", "temps")
        expect(told).to_have_text("micrometer-0.001-a · part 22.5 °C · gauge 20.5 °C")
    (reading,) = readings_of(bench, "temps")
    assert reading["part_temp"] == "22.5"
    assert reading["gauge_temp"] == "20.5"
    assert reading["instrument"] == "micrometer-0.001-a"


@pytest.mark.parametrize("kind", ["phone", "tablet"])
@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize("hand_side", ["right", "left"])
def test_keys_are_large_enough_and_all_is_in_sight(
    chromium_browser: Browser, bench: Served, kind: Screen, light: str, hand_side: str
) -> None:
    least = 17.0 if kind == "phone" else 20.0
    with at_page(chromium_browser, bench, kind, color_scheme=light) as hand:
        hand.page.add_init_script(f"localStorage.setItem('gudgeon.hand', '{hand_side}')")
        for feature in ("bore", "gap", "tip"):
            hand.go(f"?feature={feature}", f"look-{kind}")
            hand.page.keyboard.type("0.12" if feature == "gap" else "78.012")
            picture(hand.page, f"measure-{feature}-{kind}-{light}-{hand_side}")
            panels = ("keys", "more", "lists") if kind == "phone" else ("keys", "lists")
            for panel in panels:
                if panel == "more":
                    hand.tap("#do-more")
                if panel == "lists":
                    hand.tap("#do-what")
                _look(hand, least)
            hand.page.keyboard.press("Escape")


@pytest.mark.parametrize(
    ("kind", "size"), [("phone", (740, 360)), ("tablet", (820, 1180)), ("tablet", (1024, 768))]
)
def test_turned_and_smaller_screens(
    chromium_browser: Browser, bench: Served, kind: Screen, size: tuple[int, int]
) -> None:
    lying = size[1] < 500
    with at_page(chromium_browser, bench, kind) as hand:
        hand.page.set_viewport_size({"width": size[0], "height": size[1]})
        for feature in ("bore", "gap", "tip"):
            hand.go(f"?feature={feature}", f"look-{kind}")
            hand.page.keyboard.type("0.12" if feature == "gap" else "78.012")
            picture(hand.page, f"measure-{feature}-{size[0]}x{size[1]}")
            _look(hand, 17.0 if lying else 20.0 if size[1] > 800 else 18.5, 4.5 if lying else 8.0)
            if lying:
                hand.tap("#do-more")
                _look(hand, 17.0, 4.5)
            hand.page.keyboard.press("Escape")


def _look(hand: Hand, least: float, figure: float = 8.0) -> None:
    """Sizes [mm], gaps, contrasts and axe, as the page is now."""
    size = hand.page.viewport_size
    assert size
    width, height = size["width"], size["height"]
    mm = float(
        hand.page.evaluate(
            "parseFloat(getComputedStyle(document.documentElement).getPropertyValue('--mm'))"
        )
    )
    found = [item for item in targets(hand.page) if item["what"] != "capture"]
    assert len(found) >= 10
    for item in found:
        floor = least if item["main"] else 15.0
        assert min(item["width"], item["height"]) >= floor - 0.05, item
        assert min(item["x"], item["y"]) * mm >= -0.01, item
        assert (item["x"] + item["width"]) * mm <= width + 0.5, item
        assert (item["y"] + item["height"]) * mm <= height + 0.5, item
    for number, one in enumerate(found):
        for other in found[number + 1 :]:
            across = max(one["x"], other["x"]) - min(
                one["x"] + one["width"], other["x"] + other["width"]
            )
            down = max(one["y"], other["y"]) - min(
                one["y"] + one["height"], other["y"] + other["height"]
            )
            assert max(across, down) >= 2.95, (one, other)
    assert not scrolled(hand)
    for text, ratio, value in contrasts(hand.page):
        assert ratio >= (12.0 if value else 7.0), (text, ratio)
    typed = hand.page.evaluate(
        """() => {
          const pen = document.createElement("canvas").getContext("2d");
          pen.font = getComputedStyle(document.getElementById("capture")).font;
          return pen.measureText("8").actualBoundingBoxAscent;
        }"""
    )
    assert typed / mm >= figure
    assert axe_faults(hand.page) == []
