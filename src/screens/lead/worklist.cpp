// SPDX-License-Identifier: Apache-2.0
// Tagged trees worth a re-count, best first, with the reason. The tag's number is never shown here.
#include <algorithm>

#include "screens/each_screen.h"
#include "screens/parts/form.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {

namespace {

// Row after row, and in a row from its first tree on: as the lead walks.
std::vector<advice::Recount> in_walking_order(std::vector<advice::Recount> list) {
  std::sort(list.begin(), list.end(),
            [](const auto& a, const auto& b) { return a.tree < b.tree; });
  return list;
}

}  // namespace

void draw_worklist(Frame& frame) {
  open(frame, {.key = "worklist", .title = tr("worklist.title")});
  const auto& list = frame.cache.worklist(frame.season, frame.block_id(), frame.now_ms());
  unfinished(frame);
  if (list.empty()) {
    empty_state(frame.ui, {.id = "none", .glyph = Glyph::check,
                           .text = tr("worklist.empty")});
    finish(frame);
    return;
  }
  small_print(frame.ui,
              tr("worklist.text", {{"n", whole(advice::recounts_of_one_person)}}));
  Form form(frame);
  const bool by_row = form.choice("worklist/order", tr("worklist.order"),
                                  {tr("worklist.by_worth"), tr("worklist.by_row")}, 0) == 1;
  int position = 0;
  std::string above;
  for (const advice::Recount& recount : by_row ? in_walking_order(list) : list) {
    const orchard::TreeAddress tree = recount.tree;
    const std::string name = person_text(frame.season, recount.person);
    const std::string whose =
        tr("worklist.whose", {{"name", name}, {"reason", reason_text(recount.reason)}});
    const bool same = whose == above;  // a reason is given once, not on five rows one after another
    above = whose;
    if (choice_row(frame.ui,
                   {.id = "tree/" + std::to_string(tree.row) + "-" + std::to_string(tree.tree),
                    .label = tree_text(tree),
                    .detail = same ? name : whose,
                    .glyph = Glyph::tree,
                    .position = ++position,
                    .set_size = static_cast<int>(list.size())})) {
      frame.want(OpenCount{CountPurpose::check, frame.block_id(), tree});
    }
  }
  finish(frame);
}

}  // namespace nthtree::screens
