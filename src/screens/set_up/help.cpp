// SPDX-License-Identifier: Apache-2.0
// One short page a role, on the phone itself.
#include "screens/each_screen.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void page(Scene& scene, const std::string& role, int lines) {
  for (int i = 1; i <= lines; ++i) {
    scene.ui.open_card();
    paragraph(scene.ui, tr("help." + role + "." + std::to_string(i)));
    scene.ui.close_card(scene.ui.theme().card);
  }
}

}  // namespace

void draw_help(Scene& scene) {
  open(scene, {.key = "help", .title = tr("help.title")});
  const orchard::Person* me = scene.me();
  const auto typed = scene.session.fields.find("help");
  const int own = me ? static_cast<int>(me->role) : 0;
  const int now = typed == scene.session.fields.end() ? own : std::atoi(typed->second.c_str());
  std::vector<widgets::Choice> roles;
  for (int i = 0; i < 3; ++i) {
    roles.push_back({"role/" + std::to_string(i), role_text(static_cast<orchard::Role>(i))});
  }
  const int chosen = segments(scene.ui, {.id = "role", .label = tr("help.title"), .items = roles,
                                         .selected = now, .hide_label = true, .tabs = true});
  if (chosen != now) scene.want(SetField{"help", std::to_string(chosen)});
  if (now == 0) page(scene, "pruner", 6);
  if (now == 1) page(scene, "lead", 4);
  if (now == 2) page(scene, "manager", 4);
  paragraph(scene.ui, tr("help.all"));
  if (button(scene.ui, {.id = "cautions", .label = tr("home.cautions"), .kind = Kind::quiet,
                        .glyph = Glyph::caution})) {
    scene.go(ScreenId::cautions);
  }
  finish(scene);
}

}  // namespace nthtree::screens
