// SPDX-License-Identifier: Apache-2.0
// Tagged trees worth a re-count, best first, with the reason. The tag's number is never shown here.
#include <algorithm>
#include <set>
#include <vector>

#include "ledger/current.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
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

constexpr std::size_t parts_shown = 5;

// Trees of which somebody counted some limbs and nobody yet the same ones again, the latest first.
std::vector<const PartEntry*> parts_to_recount(const Frame& frame) {
  std::vector<const PartEntry*> found;
  const ledger::BlockSeason* block = frame.block();
  if (!block) return found;
  std::set<orchard::TreeAddress> seen;
  for (const auto& check : ledger::current(block->part_checks)) seen.insert(check.body.tree);
  for (const auto& part : ledger::current_newest_first(block->part_counts)) {
    if (found.size() == parts_shown) break;
    if (part.author == frame.session.person) continue;
    if (seen.insert(part.body.tree).second) found.push_back(&part);
  }
  return found;
}

void part_rows(Frame& frame, const std::vector<const PartEntry*>& found) {
  if (found.empty()) return;
  heading(frame.ui, tr("part.recount"));
  for (const PartEntry* part : found) {
    const orchard::TreeAddress tree = part->body.tree;
    if (choice_row(frame.ui,
                   {.id = "limbs/" + std::to_string(tree.row) + "-" + std::to_string(tree.tree),
                    .label = tree_text(tree),
                    .detail = person_text(frame.season, part->author),
                    .glyph = Glyph::tree})) {
      frame.want(OpenCount{CountPurpose::part_check, frame.block_id(), tree});
    }
  }
}

}  // namespace

void draw_worklist(Frame& frame) {
  open(frame, {.key = "worklist", .title = tr("worklist.title")});
  const auto& list = frame.cache.worklist(frame.season, frame.block_id(), frame.now_ms());
  unfinished(frame);
  const auto counted_in_part = parts_to_recount(frame);
  part_rows(frame, counted_in_part);
  if (list.empty() && !counted_in_part.empty()) return finish(frame);
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
