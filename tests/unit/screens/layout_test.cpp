// SPDX-License-Identifier: Apache-2.0
//
// Every screen in every language, at the sizes of phones, a tablet and a desk, at 100 % and 160 % text: no word is
// clipped, nothing overlaps, and a glove hits everything (12 mm, 46 CSS px at 96 to the inch).
#include <doctest/doctest.h>

#include <algorithm>
#include <iterator>
#include <set>

#include "unit/screens/stage.h"
#include "widgets/language.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;

struct Size {
  float width, height;
};
constexpr Size sizes[] = {{360, 740}, {390, 844}, {740, 360}, {844, 390},
                          {820, 1180}, {1440, 900}};

void check(const stage::Scene& scene, const widgets::HeadlessFrame& frame, const std::string& how) {
  for (const std::string& fault : frame.clipped_texts()) {
    FAIL_CHECK(scene.name << " " << how << ": clipped: " << fault);
  }
  for (const std::string& fault : frame.overlaps()) {
    FAIL_CHECK(scene.name << " " << how << ": overlap: " << fault);
  }
  for (const std::string& fault : frame.small_targets()) {
    FAIL_CHECK(scene.name << " " << how << ": small: " << fault);
  }
  for (const std::string& fault : frame.outside()) {
    FAIL_CHECK(scene.name << " " << how << ": outside: " << fault);
  }
}

void check_all(const std::string& language, float text_scale) {
  widgets::choose_language(language);
  AdviceCache cache;
  const ledger::Season* last = nullptr;
  int drawn = 0;
  for (const Size& size : sizes) {
    widgets::HeadlessSetting setting{.width = size.width, .height = size.height};
    setting.look.text_scale = text_scale;
    widgets::HeadlessFrame frame(stage::fonts(), setting);
    for (const stage::Scene& scene : stage::scenes()) {
      if (scene.season != last) cache.forget();
      last = scene.season;
      frame.draw([&](widgets::Ui& ui) { draw(ui, *scene.season, scene.session, cache); });
      check(scene, frame,
            language + " " + std::to_string(static_cast<int>(size.width)) + "x" +
                std::to_string(static_cast<int>(size.height)) + " at " +
                std::to_string(static_cast<int>(100 * text_scale + 0.5f)) + " %");
      ++drawn;
    }
  }
  CHECK(drawn == static_cast<int>(stage::scenes().size()) * 6);
}

// What can be pressed on a screen, wherever it has to be scrolled to. Of long lists only the rows in
// view are there, and how many those are is a matter of size.
std::set<std::string> pressable(const widgets::HeadlessFrame& frame) {
  std::set<std::string> ids;
  for (const widgets::Control& control : frame.controls()) {
    if (control.role <= widgets::Role::spinbutton && control.position == 0) ids.insert(control.id);
  }
  return ids;
}

// Of every scene, at that size of text. One frame for all: each size of text draws its letters anew.
std::vector<std::set<std::string>> pressable_at(const Size& size, float text_scale) {
  widgets::HeadlessSetting setting{.width = size.width, .height = size.height};
  setting.look.text_scale = text_scale;
  widgets::HeadlessFrame frame(stage::fonts(), setting);
  AdviceCache cache;
  const ledger::Season* last = nullptr;
  std::vector<std::set<std::string>> all;
  for (const stage::Scene& scene : stage::scenes()) {
    if (scene.season != last) cache.forget();
    last = scene.season;
    frame.draw([&](widgets::Ui& ui) { draw(ui, *scene.season, scene.session, cache); });
    all.push_back(pressable(frame));
  }
  return all;
}

}  // namespace

TEST_SUITE("screens: layout") {
  TEST_CASE("the demo farm and all languages are there to draw") {
    CHECK(stage::languages().size() == 3);
    CHECK(stage::farm().blocks().size() == 5);
    CHECK(stage::scenes().size() > 50);
  }

  TEST_CASE("every screen fits in every language at normal text") {
    for (const std::string& language : stage::languages()) check_all(language, 1.0f);
  }

  TEST_CASE("every screen fits in every language at 160 % text") {
    for (const std::string& language : stage::languages()) check_all(language, 1.6f);
  }

  TEST_CASE("every screen fits in every language at 130 % text") {
    for (const std::string& language : stage::languages()) check_all(language, 1.3f);
  }

  TEST_CASE("Tap, By limb and Type were taken away by large text: nothing disappears at any size") {
    for (const std::string& language : stage::languages()) {
      widgets::choose_language(language);
      for (const Size& size : {Size{360, 740}, Size{740, 360}}) {
        const auto all = pressable_at(size, 1.0f);
        for (const float text_scale : {1.15f, 1.3f, 1.45f, 1.6f}) {
          const auto now = pressable_at(size, text_scale);
          for (std::size_t i = 0; i < all.size(); ++i) {
            std::vector<std::string> gone;
            std::set_difference(all[i].begin(), all[i].end(), now[i].begin(), now[i].end(),
                                std::back_inserter(gone));
            for (const std::string& id : gone) {
              FAIL_CHECK(language << " " << stage::scenes()[i].name << " at " << text_scale
                                  << ": no " << id);
            }
          }
        }
      }
    }
    widgets::choose_language("en");
  }

  TEST_CASE("no screen asks for a text that a language lacks") {
    for (const std::string& language : stage::languages()) {
      widgets::choose_language(language);
      widgets::forget_missing_keys();
      AdviceCache cache;
      widgets::HeadlessFrame frame(stage::fonts(), {.width = 390, .height = 844});
      for (const stage::Scene& scene : stage::scenes()) {
        cache.forget();
        frame.draw([&](widgets::Ui& ui) { draw(ui, *scene.season, scene.session, cache); });
      }
      for (const std::string& key : widgets::missing_keys()) {
        FAIL_CHECK(language << " lacks " << key);
      }
    }
    widgets::choose_language("en");
  }

  TEST_CASE("a person's name stands on every screen once they said who they are") {
    widgets::choose_language("en");
    AdviceCache cache;
    widgets::HeadlessFrame frame(stage::fonts(), {.width = 360, .height = 740});
    int seen = 0;
    for (const stage::Scene& scene : stage::scenes()) {
      const orchard::Person* person = scene.season->person(scene.session.person);
      if (!person) continue;
      cache.forget();
      frame.draw([&](widgets::Ui& ui) { draw(ui, *scene.season, scene.session, cache); });
      bool found = false;
      for (const widgets::Control& control : frame.controls()) {
        found = found || control.label.find(person->name) != std::string::npos;
      }
      CHECK_MESSAGE(found, scene.name);
      ++seen;
    }
    CHECK(seen > 40);
  }
}
