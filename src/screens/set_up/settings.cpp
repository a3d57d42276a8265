// SPDX-License-Identifier: Apache-2.0
// What belongs to this phone: language, colours, text size, hand, units, practice, buzz.
#include <algorithm>
#include <iterator>

#include "screens/each_screen.h"
#include "screens/set_up/language_choice.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr int text_sizes[] = {100, 115, 130, 145, 160};

void text_size(Scene& scene) {
  const Preferences& now = scene.session.preferences;
  const int steps = stepper(scene.ui, {.id = "text", .label = tr("settings.text"),
                                       .value = static_cast<double>(now.text_percent),
                                       .minimum = 100, .maximum = 160, .step = 15, .unit = "%"});
  if (steps == 0) return;
  const int* at = std::lower_bound(std::begin(text_sizes), std::end(text_sizes), now.text_percent);
  const auto index = std::clamp<std::ptrdiff_t>(at - text_sizes + steps, 0, 4);
  Preferences preferences = now;
  preferences.text_percent = text_sizes[index];
  scene.want(SetPreferences{preferences});
}

// Two or three choices beside one another, kept at once.
template <typename Set>
void choice(Scene& scene, const char* id, const std::string& label,
            const std::vector<std::string>& items, int now, Set&& set) {
  std::vector<widgets::Choice> choices;
  for (std::size_t i = 0; i < items.size(); ++i) {
    choices.push_back({std::string(id) + "/" + std::to_string(i), items[i]});
  }
  const int chosen =
      segments(scene.ui, {.id = id, .label = label, .items = choices, .selected = now});
  if (chosen == now) return;
  Preferences preferences = scene.session.preferences;
  set(preferences, chosen);
  scene.want(SetPreferences{preferences});
}

void looks(Scene& scene) {
  const Preferences& now = scene.session.preferences;
  choice(scene, "theme", tr("settings.theme"), {tr("settings.sun"), tr("settings.dark")},
         static_cast<int>(now.theme),
         [](Preferences& p, int chosen) { p.theme = static_cast<Theme>(chosen); });
  text_size(scene);
  choice(scene, "hand", tr("settings.hand"), {tr("settings.right"), tr("settings.left")},
         now.left_hand ? 1 : 0, [](Preferences& p, int chosen) { p.left_hand = chosen == 1; });
  choice(scene, "units", tr("settings.units"),
         {tr("settings.units.farm"), tr("rates.metric"), tr("rates.us")},
         static_cast<int>(now.units),
         [](Preferences& p, int chosen) { p.units = static_cast<Units>(chosen); });
}

void habits(Scene& scene) {
  Preferences preferences = scene.session.preferences;
  if (toggle(scene.ui, {.id = "practice", .label = tr("settings.practice"),
                        .detail = tr("settings.practice_hint"), .on = preferences.practice})) {
    preferences.practice = !preferences.practice;
    scene.want(SetPreferences{preferences});
  }
  if (toggle(scene.ui, {.id = "buzz", .label = tr("settings.buzz"), .on = preferences.buzz})) {
    preferences.buzz = !preferences.buzz;
    scene.want(SetPreferences{preferences});
  }
  menu_row(scene, "sync", tr("settings.sync"), ScreenId::sync, Glyph::cloud);
  menu_row(scene, "help", tr("help.title"), ScreenId::help, Glyph::note);
}

}  // namespace

void draw_settings(Scene& scene) {
  open(scene, {.key = "settings", .title = tr("settings.title")});
  const auto left = [&] {
    looks(scene);
    habits(scene);
  };
  if (scene.ui.wide()) scene.ui.row({1, 1}, left, [&] { choose_language_here(scene); });
  else {
    choose_language_here(scene);
    left();
  }
  finish(scene);
}

}  // namespace nthtree::screens
