// SPDX-License-Identifier: Apache-2.0
// Starting a farm on an empty phone: three fields, then the first block.
#include "screens/each_screen.h"
#include "screens/parts/form.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"

namespace nthtree::screens {

void draw_start_farm(Scene& scene) {
  open(scene, {.key = "start",
               .title = tr("start.title"),
               .actions = {{.id = "go", .label = keep_label(scene, tr("start.go"))}}});
  paragraph(scene.ui, tr(scene.session.sync.joined ? "start.text_joined" : "start.text"));
  Form form(scene);
  ledger::FarmSettings farm;
  orchard::Person manager;
  farm.name = form.text({.id = "farm", .label = tr("start.farm")});
  manager.name = form.text({.id = "you", .label = tr("start.you")});
  farm.us_units =
      form.choice("us", tr("rates.units"), {tr("rates.metric"), tr("rates.us")},
                  scene.session.us_region ? 1 : 0) == 1;
  manager.role = orchard::Role::manager;
  if (scene.bar.action == "go") {
    set_clock(scene, farm);
    if (form.ok())
      scene.want(StartFarm{farm, manager});
    else
      form.show_wrong();
  }
  finish(scene);
}

}  // namespace nthtree::screens
