// SPDX-License-Identifier: Apache-2.0
// A block row by row: where too many, just right or too few are left, and where nobody counted.
#include <map>

#include "ledger/live.h"
#include "screens/each_screen.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

struct RowSum {
  int counts = 0;
  double spurs = 0;
};

widgets::Verdict state_of(double spurs, double target, double tolerance) {
  if (spurs > target * (1 + tolerance)) return widgets::Verdict::harder;
  if (spurs < target * (1 - tolerance)) return widgets::Verdict::lighter;
  return widgets::Verdict::on_target;
}

void rows_list(Scene& scene, const std::map<int, RowSum>& rows) {
  std::vector<std::pair<int, RowSum>> list(rows.begin(), rows.end());
  long_list(scene.ui, {.id = "rows", .label = tr("map.title"),
                       .rows = static_cast<int>(list.size()), .row_height = 44},
            [&](int i) {
              const auto& [row, sum] = list[static_cast<std::size_t>(i)];
              fact(scene.ui,
                   tr("row_n", {{"n", whole(row)}}) + ", " +
                       tr("review.counted_n", {{"n", whole(sum.counts)}}),
                   whole(sum.spurs / sum.counts));
            });
}

// How far apart the counted trees are, in one number; what the books make of it stands behind.
void spread_part(Scene& scene) {
  const advice::TagSpread& spread =
      scene.reckoning.spread(scene.season, scene.block_id(), scene.now_ms());
  if (spread.counts < 2 || !(spread.mean > 0)) return;
  heading(scene.ui, tr("spread.title"));
  fact(scene.ui, tr("spread.cv"), widgets::percent(spread.cv));
  menu_row(scene, "numbers", tr("spread.experts"), ScreenId::numbers, Glyph::note);
}

}  // namespace

void draw_block_map(Scene& scene) {
  open(scene, {.key = "map/" + scene.block_id(),
               .title = block_text(scene.season, scene.block_id()), .full = true});
  const ledger::BlockSeason* block = scene.block();
  const advice::BlockTarget* target = scene.reckoning.target(scene.season, scene.block_id());
  if (!block || !block->block || block->tag_counts.empty()) {
    empty_state(scene.ui, {.id = "none", .glyph = Glyph::tree, .title = tr("map.title"),
                           .text = tr("map.empty")});
    finish(scene);
    return;
  }
  const advice::Acceptance& done =
      scene.reckoning.acceptance(scene.season, scene.block_id(), scene.now_ms());
  pill(scene.ui, reason_text(done.reason),
       done.kind == advice::AcceptanceKind::accepted ? Tone::good : Tone::plain);
  const advice::CountingBias& bias = scene.reckoning.bias(scene.season, scene.now_ms());
  widgets::BlockMap map;
  map.id = "map";
  map.rows = block->block->rows;
  map.trees = block->block->trees_per_row;
  std::map<int, RowSum> rows;
  for (const auto& entry : ledger::live(block->tag_counts)) {
    const double spurs = entry.body.spurs_after_mend.value_or(entry.body.spurs) *
                         bias.of(entry.author).ratio.value;
    RowSum& sum = rows[entry.body.tree.row];
    ++sum.counts;
    sum.spurs += spurs;
    if (!target) continue;
    map.cells.push_back({.row = entry.body.tree.row, .tree = entry.body.tree.tree,
                         .verdict = state_of(spurs, target->target.spurs_to_leave_per_tree.value,
                                             block->block->tolerance_fraction)});
  }
  map.label = tr("map.title") + ": " + tr_count("counts_n", static_cast<long>(map.cells.size()));
  small_print(scene.ui, tr("map.text"));
  if (scene.ui.desk()) map.height = 420;
  block_map(scene.ui, map);
  const auto by_row = [&] {
    heading(scene.ui, tr("standing.left"));
    rows_list(scene, rows);
  };
  side_by_side(scene, by_row, [&] { spread_part(scene); });
  finish(scene);
}

}  // namespace nthtree::screens
