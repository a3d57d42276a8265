// SPDX-License-Identifier: Apache-2.0
// The block as it is planted: what does not bear, entered row by row or from a list, and said again
// where it bears after all.
#include "advice/known/planting.h"
#include "screens/each_screen.h"
#include "screens/parts/form.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/rows.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

using ledger::TreeKind;

constexpr std::size_t trees_most = 2000;  // of one entry: a slip in the rows, beyond that

// What differs from what stands already; the same said twice would only make records.
std::vector<ledger::Body> states_of(const orchard::Block& block, const advice::Planting& planting,
                                    const std::vector<int>& rows, const std::vector<int>& trees,
                                    TreeKind kind) {
  std::vector<ledger::Body> states;
  for (const int row : rows) {
    for (const int tree : trees) {
      const orchard::TreeAddress at{row, tree};
      if (!block.has(at) || planting.kind_of(at) == kind) continue;
      if (states.size() < trees_most) states.push_back(ledger::TreeState{block.id, at, kind});
    }
  }
  return states;
}

std::vector<ledger::Body> entered(Frame& frame, const orchard::Block& block,
                                  const advice::Planting& planting) {
  int longest = block.trees_per_row;
  for (const int length : block.row_lengths) longest = std::max(longest, length);
  heading(frame.ui, tr("planting.enter"));
  const auto rows = row_list_field(frame, "planting/rows", tr("rows.rows"), block.rows);
  const auto trees = row_list_field(frame, "planting/trees", tr("planting.trees"), longest);
  std::vector<std::string> kinds;
  for (int kind = 0; kind < 5; ++kind) kinds.push_back(tree_kind_text(static_cast<TreeKind>(kind)));
  Form form(frame);
  const auto kind =
      static_cast<TreeKind>(form.list("planting/kind", tr("tree.what"), kinds, 1));
  return states_of(block, planting, rows, trees, kind);
}

void listed(Frame& frame, const orchard::Block& block, const advice::Planting& planting) {
  fact(frame.ui, tr("planting.to_prune"), whole(static_cast<double>(planting.bearing())));
  for (std::size_t kind = 1; kind < planting.others().size(); ++kind) {
    if (planting.others()[kind] == 0) continue;
    fact(frame.ui, tree_kind_text(static_cast<TreeKind>(kind)), whole(planting.others()[kind]));
  }
  heading(frame.ui, tr("planting.title"));
  if (planting.bearing() == planting.places()) small_print(frame.ui, tr("planting.none"));
  for (int row = 1; row <= block.rows; ++row) {
    if (planting.bearing_in_row(row) == block.trees_in_row(row)) continue;
    for (int tree = 1; tree <= block.trees_in_row(row); ++tree) {
      const orchard::TreeAddress at{row, tree};
      if (planting.is_bearing(at)) continue;
      if (choice_row(frame.ui, {.id = "tree/" + std::to_string(row) + "-" + std::to_string(tree),
                                .label = tree_text(at),
                                .detail = tree_kind_text(planting.kind_of(at)),
                                .glyph = Glyph::tree})) {
        frame.want(Go{Stop{ScreenId::no_tree, block.id, {}, at, {}}});
      }
    }
  }
}

}  // namespace

void draw_planting(Frame& frame) {
  const ledger::BlockSeason* season = frame.block();
  const bool known = season && season->block;
  std::vector<widgets::Action> actions;
  if (known) actions = {{.id = "keep", .label = tr("planting.keep")}};
  open(frame, {.key = "planting", .title = tr("planting.title"), .actions = actions});
  if (!known) {
    notice(frame.ui, {.id = "none", .tone = Tone::caution, .text = tr("block.waiting")});
    return finish(frame);
  }
  const orchard::Block& block = *season->block;
  const advice::Planting planting = advice::planting_of(*season, frame.now_ms());
  std::vector<ledger::Body> states;
  save_state(frame);
  side_by_side(frame, [&] { states = entered(frame, block, planting); },
               [&] { listed(frame, block, planting); });
  if (frame.bar.action == "keep" && !states.empty()) {
    SaveRecords save;
    save.bodies = std::move(states);
    frame.want(save);
    frame.want(SetField{"planting/trees", ""});
  }
  finish(frame);
}

}  // namespace nthtree::screens
