// SPDX-License-Identifier: Apache-2.0
//
// The places of a screen that hands learn: the way back at the top left, the way on at the bottom
// under the thumb, the person at the top right; and a message that lies over none of them, nor over
// what is being read.
#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <optional>
#include <set>

#include "unit/screens/stage.h"
#include "widgets/language.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;
using widgets::Control;
using widgets::Rect;
using widgets::Role;

struct Shape {
  float width, height;
};
constexpr Shape shapes[] = {{360, 740}, {740, 360}, {820, 1180}, {1440, 900}};

// Draws every scene at every size, in the language that is chosen.
template <typename Look>
void on_every_screen(Look&& look, const std::optional<Toast>& message = std::nullopt) {
  AdviceCache cache;
  const ledger::Season* last = nullptr;
  for (const Shape& size : shapes) {
    widgets::HeadlessFrame frame(stage::fonts(), {.width = size.width, .height = size.height});
    for (const stage::Scene& scene : stage::scenes()) {
      if (scene.season != last) cache.forget();
      last = scene.season;
      Session session = scene.session;
      if (message) session.toast = message;
      if (message) session.toast->until_ms = session.now_ms + 5000;
      frame.draw([&](widgets::Ui& ui) { draw(ui, *scene.season, session, cache); });
      CAPTURE(scene.name);
      CAPTURE(size.width);
      look(session, frame);
    }
  }
}

const Control* group(const widgets::HeadlessFrame& frame, Role role) {
  for (const Control& control : frame.controls()) {
    if (control.role == role) return &control;
  }
  return nullptr;
}

// What can be pressed in that bar, from its left edge to `width`.
std::vector<const Control*> pressable_in(const widgets::HeadlessFrame& frame, const Control& bar,
                                         float width) {
  const int at = static_cast<int>(&bar - frame.controls().data());
  std::vector<const Control*> found;
  for (const Control& control : frame.controls()) {
    const bool is_action = control.role <= Role::spinbutton && control.parent == at;
    if (is_action && control.rect.x < bar.rect.x + width) found.push_back(&control);
  }
  return found;
}

bool overlap(const Rect& a, const Rect& b) {
  const Rect both = widgets::meet(a, b);
  return both.w > 0.5f && both.h > 0.5f;
}

}  // namespace

TEST_SUITE("screens: slots") {
  TEST_CASE("the top left meant back here and something else there: it is back, or nothing is to press") {
    widgets::choose_language("en");
    int backs = 0;
    on_every_screen([&](const Session& session, const widgets::HeadlessFrame& frame) {
      const Control* bar = group(frame, Role::banner);
      REQUIRE(bar);
      const auto left = pressable_in(frame, *bar, 64);
      const ScreenId screen = session.here().screen;
      const bool is_first = screen == ScreenId::opening || screen == ScreenId::welcome ||
                            screen == ScreenId::home;
      if (!is_first) {
        REQUIRE(left.size() == 1);
        CHECK(left.front()->id == "back");
        ++backs;
      } else {
        CHECK(left.empty());
      }
    });
    CHECK(backs > 200);
  }

  TEST_CASE("of the actions at the bottom the one that goes on lies under the thumb") {
    widgets::choose_language("en");
    // What throws away, or leads aside, never lies where "go on" lies elsewhere.
    const std::set<std::string> aside = {"throw", "discard", "undo", "back"};
    std::map<std::string, int> seen;
    on_every_screen([&](const Session&, const widgets::HeadlessFrame& frame) {
      const Control* bar = group(frame, Role::footer);
      if (!bar) return;
      const auto actions = pressable_in(frame, *bar, bar->rect.w);
      REQUIRE_FALSE(actions.empty());
      const Control* thumb = actions.front();
      for (const Control* action : actions) {
        const bool beside = action->rect.y == thumb->rect.y;
        if (beside ? action->rect.x > thumb->rect.x : action->rect.y < thumb->rect.y) {
          thumb = action;
        }
      }
      CHECK(aside.count(thumb->id) == 0);
      ++seen[thumb->id];
    });
    CHECK(seen.size() > 10);
  }

  TEST_CASE("a message covered what was being read") {
    for (const std::string& language : stage::languages()) {
      widgets::choose_language(language);
      on_every_screen(
          [&](const Session&, const widgets::HeadlessFrame& frame) {
            const Control* message = frame.find("toast");
            REQUIRE(message);
            const Control* page = group(frame, Role::main);
            REQUIRE(page);
            CHECK_FALSE(overlap(message->rect, page->rect));
            for (const Role role : {Role::banner, Role::footer, Role::navigation}) {
              const Control* other = group(frame, role);
              if (other) CHECK_FALSE(overlap(message->rect, other->rect));
            }
          },
          Toast{"toast.outside_role", "12", true, 0});
    }
    widgets::choose_language("en");
  }
}
