// SPDX-License-Identifier: Apache-2.0
//
// A screen in the hand: taps by control id, what it shows, what it asked for.
#pragma once

#include <string>
#include <utility>
#include <variant>

#include "screens/news.h"
#include "unit/screens/stage.h"
#include "widgets/language.h"

namespace nthtree::screens::stage {

// A phone without a shell: it applies what belongs to the session and keeps the rest.
class Phone {
 public:
  Phone(Session start, const ledger::Season& season,
        const widgets::HeadlessSetting& setting = {.width = 390, .height = 844})
      : session(std::move(start)), season_(season), frame_(stage::fonts(), setting) {
    stage::languages();
    widgets::choose_language("en");
    look();
  }
  void look() {
    frame_.draw([&](widgets::Ui& ui) {
      for (const Intent& intent : draw(ui, season_, session, cache_)) {
        asked.push_back(intent);
        apply(session, season_, intent);
        if (const auto* save = std::get_if<SaveRecords>(&intent)) {
          apply(session, season_, Writing{save->from, save->bodies.front(), std::nullopt});
        }
      }
    });
  }
  bool tap(const std::string& id) {
    const bool hit = frame_.tap(id);
    look();
    return hit;
  }
  bool type(const std::string& id, const std::string& text) {
    const bool hit = frame_.type(id, text);
    look();
    return hit;
  }
  bool shows(const std::string& text) const {
    for (const widgets::Control& control : frame_.controls()) {
      for (const std::string* part : {&control.label, &control.value, &control.hint}) {
        if (part->find(text) != std::string::npos) return true;
      }
    }
    return false;
  }
  template <typename T>
  const T* last() const {
    for (auto it = asked.rbegin(); it != asked.rend(); ++it) {
      if (const T* found = std::get_if<T>(&*it)) return found;
    }
    return nullptr;
  }
  widgets::HeadlessFrame& frame() { return frame_; }

  Session session;
  Intents asked;

 private:
  const ledger::Season& season_;
  AdviceCache cache_;
  widgets::HeadlessFrame frame_;
};

}  // namespace nthtree::screens::stage
