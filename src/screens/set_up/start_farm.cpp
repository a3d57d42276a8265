// SPDX-License-Identifier: Apache-2.0
// Starting a farm on an empty phone: three fields, then the first block.
#include "screens/each_screen.h"
#include "screens/parts/form.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"

namespace nthtree::screens {

void draw_start_farm(Frame& frame) {
  open(frame, {.key = "start",
               .title = tr("start.title"),
               .actions = {{.id = "go", .label = keep_label(frame, tr("start.go"))}}});
  paragraph(frame.ui, tr(frame.session.sync.joined ? "start.text_joined" : "start.text"));
  Form form(frame);
  ledger::FarmSettings farm;
  orchard::Person manager;
  farm.name = form.text({.id = "farm", .label = tr("start.farm")});
  manager.name = form.text({.id = "you", .label = tr("start.you")});
  farm.us_units =
      form.choice("us", tr("rates.units"), {tr("rates.metric"), tr("rates.us")},
                  frame.session.us_region ? 1 : 0) == 1;
  manager.role = orchard::Role::manager;
  if (frame.bar.action == "go") {
    set_clock(frame, farm);
    if (form.ok())
      frame.want(StartFarm{farm, manager});
    else
      form.show_wrong();
  }
  finish(frame);
}

}  // namespace nthtree::screens
