// SPDX-License-Identifier: Apache-2.0
// What belongs to this phone: language, colours, text size, hand, units, practice, buzz.
#include <algorithm>
#include <iterator>

#include "screens/each_screen.h"
#include "screens/set_up/language_choice.h"
#include "screens/parts/parts.h"
#include "screens/parts/frame.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr int text_sizes[] = {100, 115, 130, 145, 160};

void text_size(Frame& frame) {
  const Preferences& now = frame.session.preferences;
  const int steps = stepper(frame.ui, {.id = "text", .label = tr("settings.text"),
                                       .value = static_cast<double>(now.text_percent),
                                       .minimum = 100, .maximum = 160, .step = 15, .unit = "%"});
  if (steps == 0) return;
  const int* at = std::lower_bound(std::begin(text_sizes), std::end(text_sizes), now.text_percent);
  const auto index = std::clamp<std::ptrdiff_t>(at - text_sizes + steps, 0, 4);
  Preferences preferences = now;
  preferences.text_percent = text_sizes[index];
  frame.want(SetPreferences{preferences});
}

// Two or three choices beside one another, kept at once.
template <typename Set>
void choice(Frame& frame, const char* id, const std::string& label,
            const std::vector<std::string>& items, int now, Set&& set) {
  std::vector<widgets::Choice> choices;
  for (std::size_t i = 0; i < items.size(); ++i) {
    choices.push_back({std::string(id) + "/" + std::to_string(i), items[i]});
  }
  const int chosen =
      segments(frame.ui, {.id = id, .label = label, .items = choices, .selected = now});
  if (chosen == now) return;
  Preferences preferences = frame.session.preferences;
  set(preferences, chosen);
  frame.want(SetPreferences{preferences});
}

void looks(Frame& frame) {
  const Preferences& now = frame.session.preferences;
  choice(frame, "theme", tr("settings.theme"), {tr("settings.sun"), tr("settings.dark")},
         static_cast<int>(now.theme),
         [](Preferences& p, int chosen) { p.theme = static_cast<Theme>(chosen); });
  text_size(frame);
  choice(frame, "hand", tr("settings.hand"), {tr("settings.right"), tr("settings.left")},
         now.left_hand ? 1 : 0, [](Preferences& p, int chosen) { p.left_hand = chosen == 1; });
  choice(frame, "units", tr("settings.units"),
         {tr("settings.units.farm"), tr("rates.metric"), tr("rates.us")},
         static_cast<int>(now.units),
         [](Preferences& p, int chosen) { p.units = static_cast<Units>(chosen); });
}

void habits(Frame& frame) {
  Preferences preferences = frame.session.preferences;
  if (toggle(frame.ui, {.id = "practice", .label = tr("settings.practice"),
                        .detail = tr("settings.practice_hint"), .on = preferences.practice})) {
    preferences.practice = !preferences.practice;
    frame.want(SetPreferences{preferences});
  }
  if (toggle(frame.ui, {.id = "buzz", .label = tr("settings.buzz"), .on = preferences.buzz})) {
    preferences.buzz = !preferences.buzz;
    frame.want(SetPreferences{preferences});
  }
  menu_row(frame, "sync", tr("settings.sync"), ScreenId::sync, Glyph::cloud);
  const orchard::Person* me = frame.me();
  if (me && me->role != orchard::Role::pruner && !frame.session.demo) {
    const bool on = frame.session.locks.has(me->id);
    menu_row(frame, "pin", tr("settings.pin"), ScreenId::unlock, Glyph::person,
             on ? tr("settings.pin_on") : "");
  }
  menu_row(frame, "help", tr("help.title"), ScreenId::help, Glyph::note);
}

}  // namespace

void draw_settings(Frame& frame) {
  open(frame, {.key = "settings", .title = tr("settings.title")});
  const auto left = [&] {
    looks(frame);
    habits(frame);
  };
  if (frame.ui.wide()) frame.ui.row({1, 1}, left, [&] { choose_language_here(frame); });
  else {
    choose_language_here(frame);
    left();
  }
  finish(frame);
}

}  // namespace nthtree::screens
