// SPDX-License-Identifier: Apache-2.0
#include "shell/mirror_pace.h"

#include <doctest/doctest.h>

#include <vector>

using nthtree::shell::MirrorPace;

namespace {

// A clock, frames that come at given times, and the times at which the elements were written.
struct Screen {
  MirrorPace pace;
  std::int64_t now = 0;
  std::vector<std::int64_t> written;

  void pass(std::int64_t until) {
    for (; now < until; ++now) {
      if (!pace.due(now)) continue;
      pace.looked();
      pace.written(now);
      written.push_back(now);
    }
  }
  void frame(std::int64_t at, bool pressed, bool scrolled = false) {
    pass(at);
    pace.laid_out(at, pressed, scrolled);
  }
};

}  // namespace

TEST_SUITE("shell") {
  TEST_CASE("a tap was written twice into the mirror, for the finger down and for it up") {
    Screen screen;
    for (int tap = 0; tap < 10; ++tap) {
      screen.frame(1000 + 300 * tap, true);
      screen.frame(1090 + 300 * tap, false);  // a finger stays for about a tenth of a second
    }
    screen.pass(5000);
    CHECK(screen.written.size() == 10);
    CHECK(screen.written.front() == 1110);  // as soon behind the finger as ever
  }

  TEST_CASE("what a screen reader or a key presses is in the mirror right behind its frame") {
    Screen screen;
    screen.frame(500, false);
    screen.pass(2000);
    REQUIRE(screen.written.size() == 1);
    CHECK(screen.written[0] == 500 + MirrorPace::after_ms);
  }

  TEST_CASE("frames in a row are written ten times a second, and the last one always") {
    Screen screen;
    for (int at = 0; at < 1000; at += 16) screen.frame(at, false);
    screen.pass(3000);
    CHECK(screen.written.size() <= 11);
    CHECK(screen.written.back() >= 992 + MirrorPace::after_ms);
    CHECK(screen.written.back() <= 992 + MirrorPace::every_ms);
    for (std::size_t i = 1; i < screen.written.size(); ++i) {
      CHECK(screen.written[i] - screen.written[i - 1] >= MirrorPace::every_ms);
    }
  }

  TEST_CASE("a page that moves is written when it rests, and after a second at the latest") {
    Screen screen;
    for (int at = 0; at <= 640; at += 16) screen.frame(at, false, true);
    screen.pass(2000);
    CHECK(screen.written == std::vector<std::int64_t>{640 + MirrorPace::every_ms});
    Screen longer;
    for (int at = 0; at <= 3200; at += 16) longer.frame(at, true, true);
    longer.frame(3210, false);
    longer.pass(5000);
    CHECK(longer.written.size() == 4);
    CHECK(longer.written.front() <= MirrorPace::hold_most_ms + 16);
  }

  TEST_CASE("a finger that stays does not keep a screen reader waiting for more than a second") {
    Screen screen;
    screen.frame(100, true);
    screen.pass(10000);
    CHECK(screen.written == std::vector<std::int64_t>{100 + MirrorPace::hold_most_ms});
    Screen repeated;  // a stepper that is held down: a frame every 120 ms
    for (int at = 0; at < 4000; at += 120) repeated.frame(at, true);
    repeated.pass(6000);
    CHECK(repeated.written.size() >= 4);
  }

  TEST_CASE("an idle screen waits for nothing") {
    MirrorPace pace;
    CHECK_FALSE(pace.waits());
    pace.laid_out(0, false, false);
    CHECK(pace.waits());
    CHECK_FALSE(pace.due(MirrorPace::after_ms - 1));
    CHECK(pace.due(MirrorPace::after_ms));
    pace.looked();
    CHECK_FALSE(pace.due(100000));
  }
}
