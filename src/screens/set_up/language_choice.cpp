// SPDX-License-Identifier: Apache-2.0
#include "screens/set_up/language_choice.h"

namespace nthtree::screens {

void choose_language_here(Frame& frame) {
  const std::vector<std::string> codes = widgets::language_codes();
  std::vector<widgets::ChoiceRow> rows;
  int selected = -1;
  for (std::size_t i = 0; i < codes.size(); ++i) {
    rows.push_back({.id = "language/" + codes[i], .label = widgets::language_name(codes[i])});
    if (codes[i] == widgets::current_language()) selected = static_cast<int>(i);
  }
  const int chosen = radio_list(frame.ui, {.id = "language", .label = tr("settings.language"),
                                           .items = rows, .selected = selected});
  if (chosen == selected || chosen < 0) return;
  Preferences preferences = frame.session.preferences;
  preferences.language = codes[static_cast<std::size_t>(chosen)];
  frame.want(SetPreferences{preferences});
}

}  // namespace nthtree::screens
