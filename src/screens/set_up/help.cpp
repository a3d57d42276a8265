// SPDX-License-Identifier: Apache-2.0
// One short page a role, on the phone itself.
#include "screens/each_screen.h"
#include "screens/parts/frame.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void page(Frame& frame, const std::string& role, int lines) {
  for (int i = 1; i <= lines; ++i) {
    frame.ui.open_card();
    paragraph(frame.ui, tr("help." + role + "." + std::to_string(i)));
    frame.ui.close_card(frame.ui.theme().card);
  }
}

}  // namespace

void draw_help(Frame& frame) {
  open(frame, {.key = "help", .title = tr("help.title")});
  const orchard::Person* me = frame.me();
  const auto typed = frame.session.fields.find("help");
  const int own = me ? static_cast<int>(me->role) : 0;
  const int now = typed == frame.session.fields.end() ? own : std::atoi(typed->second.c_str());
  std::vector<widgets::Choice> roles;
  for (int i = 0; i < 3; ++i) {
    roles.push_back({"role/" + std::to_string(i), role_text(static_cast<orchard::Role>(i))});
  }
  const int chosen = segments(frame.ui, {.id = "role", .label = tr("help.title"), .items = roles,
                                         .selected = now, .hide_label = true, .tabs = true});
  if (chosen != now) frame.want(SetField{"help", std::to_string(chosen)});
  if (now == 0) page(frame, "pruner", 6);
  if (now == 1) page(frame, "lead", 4);
  if (now == 2) page(frame, "manager", 4);
  paragraph(frame.ui, tr("help.all"));
  if (button(frame.ui, {.id = "cautions", .label = tr("home.cautions"), .kind = Kind::quiet,
                        .glyph = Glyph::caution})) {
    frame.go(ScreenId::cautions);
  }
  finish(frame);
}

}  // namespace nthtree::screens
