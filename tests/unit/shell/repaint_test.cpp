// SPDX-License-Identifier: Apache-2.0
#include "shell/repaint.h"

#include <doctest/doctest.h>

using nthtree::shell::Repaint;

namespace {

// Runs animation frames until none is asked for; gives back how many there were.
int frames_until_idle(Repaint& repaint, int moving = 0) {
  int frames = 0;
  while (repaint.should_schedule() && frames < 1000) {
    repaint.begin();
    repaint.end(frames < moving);
    ++frames;
  }
  return frames;
}

}  // namespace

TEST_SUITE("shell") {
  TEST_CASE("a change draws one frame, and then nothing") {
    Repaint repaint;
    CHECK(frames_until_idle(repaint) == 1);
    CHECK(frames_until_idle(repaint) == 0);
    repaint.wake();
    CHECK(frames_until_idle(repaint) == 1);
    CHECK(repaint.drawn() == 2);
  }

  TEST_CASE("a change that comes while a frame is made is drawn by the next") {
    Repaint repaint;
    CHECK(repaint.should_schedule());
    repaint.begin();
    repaint.wake();
    repaint.end(false);
    CHECK(frames_until_idle(repaint) == 1);
  }

  TEST_CASE("only one animation frame is asked for at a time, however many changes come") {
    Repaint repaint;
    for (int i = 0; i < 60; ++i) repaint.wake();
    CHECK(repaint.should_schedule());
    CHECK(repaint.scheduled());
    CHECK_FALSE(repaint.should_schedule());
    repaint.begin();
    CHECK_FALSE(repaint.scheduled());
    repaint.end(false);
    CHECK(frames_until_idle(repaint) == 0);
  }

  TEST_CASE("what moves is drawn until it stands") {
    Repaint repaint;
    CHECK(frames_until_idle(repaint, 20) == 21);
  }

  TEST_CASE("a hidden page draws nothing and catches up when it is seen again") {
    Repaint repaint;
    frames_until_idle(repaint);
    repaint.set_hidden(true);
    repaint.wake();
    CHECK_FALSE(repaint.should_schedule());
    repaint.set_hidden(false);
    CHECK(frames_until_idle(repaint) == 1);
  }

  TEST_CASE("without a graphics context layout goes on and drawing waits") {
    Repaint repaint;
    frames_until_idle(repaint);
    repaint.set_context_lost(true);
    repaint.wake();
    const auto drawn = repaint.drawn();
    CHECK_FALSE(repaint.may_draw());
    CHECK(frames_until_idle(repaint) == 1);  // taps are still taken in
    CHECK(repaint.drawn() == drawn);
    repaint.set_context_lost(false);
    CHECK(repaint.may_draw());
    CHECK(frames_until_idle(repaint) == 1);
  }
}
