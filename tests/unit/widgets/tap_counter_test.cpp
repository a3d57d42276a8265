// SPDX-License-Identifier: Apache-2.0
#include "widgets/tap_counter.h"

#include <doctest/doctest.h>

using namespace nthtree::widgets;

namespace {

TapCounter two_buttons_and_a_pad() {
  TapCounter counter;
  counter.set_scroll_area({0, 0, 400, 800});
  counter.set_targets({{.id = "pad", .rect = {0, 0, 400, 300}, .on_touch = true},
                       {.id = "a", .rect = {0, 300, 200, 100}},
                       {.id = "b", .rect = {200, 300, 200, 100}},
                       {.id = "step", .rect = {0, 400, 100, 100}, .repeats = true}});
  return counter;
}

void tap(TapCounter& counter, float x, float y, std::int64_t now = 0, std::int64_t finger = 1) {
  counter.down(finger, x, y, now);
  counter.up(finger, x, y, now + 1);
}

}  // namespace

TEST_SUITE("widgets") {
  TEST_CASE("sixty taps between two frames are sixty taps") {
    TapCounter counter = two_buttons_and_a_pad();
    for (int i = 0; i < 60; ++i) tap(counter, 100, 100, i);
    const auto run = counter.take_run();
    REQUIRE(run.has_value());
    CHECK(run->id == "pad");
    CHECK(run->count == 60);
    CHECK(counter.counted() == 60);
    CHECK_FALSE(counter.take_run().has_value());
  }

  TEST_CASE("taps on different controls come out in the order they were made") {
    TapCounter counter = two_buttons_and_a_pad();
    tap(counter, 100, 100);
    tap(counter, 100, 100);
    tap(counter, 50, 350);
    tap(counter, 100, 100);
    const auto first = counter.take_run(), second = counter.take_run(), third = counter.take_run();
    REQUIRE(third.has_value());
    CHECK((first->id == "pad" && first->count == 2));
    CHECK((second->id == "a" && second->count == 1));
    CHECK((third->id == "pad" && third->count == 1));
  }

  TEST_CASE("the pad counts every finger as it lands, also two at once") {
    TapCounter counter = two_buttons_and_a_pad();
    counter.down(1, 50, 50, 0);
    counter.down(2, 350, 50, 1);
    CHECK(counter.take_run()->count == 2);
    counter.move(1, 50, 250, 5);  // a thumb that slides has counted all the same
    counter.up(1, 50, 250, 6);
    counter.up(2, 350, 50, 6);
    CHECK_FALSE(counter.has_pending());
  }

  TEST_CASE("a button counts when the finger leaves it, and not after a drag") {
    TapCounter counter = two_buttons_and_a_pad();
    counter.down(1, 50, 350, 0);
    CHECK(counter.pressed_id() == "a");
    CHECK_FALSE(counter.has_pending());
    counter.up(1, 54, 355, 30);  // 6.4 px: within the threshold
    CHECK(counter.take_run()->id == "a");

    counter.down(1, 50, 350, 100);
    counter.move(1, 50, 338, 110);
    CHECK(counter.pressed_id().empty());
    CHECK(counter.dragging());
    CHECK(counter.take_scroll() == doctest::Approx(12));
    counter.up(1, 50, 330, 120);
    CHECK_FALSE(counter.has_pending());
    CHECK(counter.take_scroll() == doctest::Approx(8));
    const auto fling = counter.take_fling();
    REQUIRE(fling.has_value());
    CHECK(*fling > 0.5f);
  }

  TEST_CASE("a finger held still before it leaves gives no glide") {
    TapCounter counter = two_buttons_and_a_pad();
    counter.down(1, 50, 350, 0);
    counter.move(1, 50, 300, 20);
    counter.up(1, 50, 300, 400);
    CHECK_FALSE(counter.take_fling().has_value());
  }

  TEST_CASE("a finger that lands on a gliding page stops it and presses nothing") {
    TapCounter counter = two_buttons_and_a_pad();
    counter.set_gliding(true);
    tap(counter, 50, 350);
    CHECK_FALSE(counter.has_pending());
    CHECK(counter.take_fling().value_or(9) == 0.0f);
    tap(counter, 50, 350);
    CHECK(counter.has_pending());
  }

  TEST_CASE("the control drawn last lies on top") {
    TapCounter counter;
    counter.set_targets({{.id = "below", .rect = {0, 0, 100, 100}},
                         {.id = "above", .rect = {50, 0, 50, 100}}});
    tap(counter, 60, 50);
    CHECK(counter.take_run()->id == "above");
    tap(counter, 20, 50);
    CHECK(counter.take_run()->id == "below");
  }

  TEST_CASE("a stepper held down repeats, and the lift adds none") {
    TapCounter counter = two_buttons_and_a_pad();
    counter.down(1, 50, 450, 0);
    CHECK(counter.tick(100) == repeat_first_ms);
    CHECK_FALSE(counter.has_pending());
    counter.tick(repeat_first_ms);
    counter.tick(repeat_first_ms + repeat_next_ms);
    counter.up(1, 50, 450, 700);
    CHECK(counter.take_run()->count == 2);
    CHECK_FALSE(counter.has_pending());
    tap(counter, 50, 450, 1000);
    CHECK(counter.take_run()->count == 1);
  }

  TEST_CASE("keyboard and screen reader tap by id, and an unknown id is refused") {
    TapCounter counter = two_buttons_and_a_pad();
    std::string buzzed;
    counter.on_tap = [&](const TouchTarget& target) { buzzed += target.id; };
    CHECK(counter.activate("b"));
    CHECK_FALSE(counter.activate("nobody"));
    CHECK(buzzed == "b");
    CHECK(counter.take_run()->id == "b");
  }

  TEST_CASE("of a field only the newest text is kept, in its place among the taps") {
    TapCounter counter = two_buttons_and_a_pad();
    counter.type("name", "A");
    counter.type("name", "An");
    counter.activate("a");
    counter.type("name", "Ana");
    CHECK(counter.take_run()->text == "An");
    CHECK(counter.take_run()->id == "a");
    CHECK(counter.take_run()->text == "Ana");
  }

  TEST_CASE("the second tap of two pressed what the new screen had in the same place") {
    TapCounter counter;
    counter.set_targets({{.id = "count", .rect = {0, 700, 360, 56}}}, "home", 0);
    tap(counter, 180, 728, 1000);
    CHECK(counter.take_run()->screen == "home");
    const std::vector<TouchTarget> saves = {{.id = "save", .rect = {0, 700, 360, 56}}};
    counter.set_targets(saves, "count", 1010);
    for (const std::int64_t after : {60, 150, 250, 399}) {
      tap(counter, 180, 728, 1010 + after);
      CHECK_MESSAGE(!counter.has_pending(), after);
    }
    counter.set_targets(saves, "count", 1300);  // drawn again, and no newer for it
    CHECK(counter.is_new_screen(1010 + new_screen_ms - 1));
    tap(counter, 180, 728, 1010 + new_screen_ms);
    CHECK(counter.take_run()->id == "save");
  }

  TEST_CASE("the count pad takes taps from the first frame on, and a new screen may be dragged") {
    TapCounter counter;
    counter.set_scroll_area({0, 0, 360, 740});
    counter.set_targets({{.id = "pad", .rect = {0, 0, 360, 300}, .on_touch = true,
                          .at_once = true},
                         {.id = "save", .rect = {0, 600, 360, 56}}}, "count", 1000);
    tap(counter, 100, 100, 1010);
    CHECK(counter.take_run()->id == "pad");
    counter.down(1, 180, 620, 1020);
    counter.move(1, 180, 560, 1040);
    CHECK(counter.dragging());
    counter.up(1, 180, 560, 1060);
    CHECK_FALSE(counter.has_pending());
  }
}
