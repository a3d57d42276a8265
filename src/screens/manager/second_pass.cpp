// SPDX-License-Identifier: Apache-2.0
// Green tip to bloom: clusters are seen now, so what is left is counted as such and the remaining
// correction per tree is told. Stages are BBCH codes for pome fruit.
#include <cmath>

#include "advice/known/winter_judged.h"
#include "ledger/current.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr int stages[] = {53, 54, 56, 57, 65};
constexpr int first_open_flowers = 60;

int stage_now(const ledger::BlockSeason* block) {
  int now = -1;
  if (!block) return now;
  for (const auto& entry : ledger::current(block->growth_stages)) now = entry.body.bbch;
  return now;
}

void stage_part(Frame& frame) {
  const int now = stage_now(frame.block());
  std::vector<widgets::ChoiceRow> rows;
  int selected = -1;
  for (int i = 0; i < 5; ++i) {
    rows.push_back({.id = "stage/" + std::to_string(stages[i]),
                    .label = tr("second.stage." + std::to_string(stages[i])),
                    .detail = "BBCH " + std::to_string(stages[i])});
    if (stages[i] == now) selected = i;
  }
  const int chosen = radio_list(frame.ui, {.id = "stage", .label = tr("second.stage"),
                                           .items = rows, .selected = selected});
  if (chosen != selected && chosen >= 0) {
    SaveRecords save;
    save.bodies = {ledger::GrowthStage{frame.block_id(), stages[chosen]}};
    frame.want(save);
  }
  if (now >= first_open_flowers) {
    notice(frame.ui, {.id = "bees", .tone = Tone::caution, .text = tr("second.caution")});
  }
}

// The winter's buds against the clusters that came out.
void winter_part(Frame& frame) {
  const ledger::BlockSeason* block = frame.block();
  const auto judged = block ? advice::winter_judged(*block) : advice::WinterJudged{};
  const char* key = judged.what == advice::WinterWas::right      ? "second.winter.right"
                    : judged.what == advice::WinterWas::too_high ? "second.winter.too_high"
                                                                 : "second.winter.too_low";
  if (judged.what == advice::WinterWas::not_known) return;
  paragraph(frame.ui, tr(key, {{"promised", of_100(judged.promised.value)},
                               {"low", of_100(judged.promised.low)},
                               {"high", of_100(judged.promised.high)},
                               {"seen", of_100(judged.seen.value)}}));
}

void result_part(Frame& frame) {
  const advice::SecondPass& pass = frame.cache.second_pass(frame.season, frame.block_id());
  if (pass.trees == 0) {
    empty_state(frame.ui, {.id = "none", .glyph = Glyph::bud,
                           .text = tr("second.empty")});
    return;
  }
  const orchard::Estimate& on_tree = pass.floral_clusters_per_tree;
  fact(frame.ui, tr("second.on_tree"),
       whole(on_tree.value) + " (" + range_text(on_tree.low, on_tree.high) + ")");
  if (pass.part_trees > 0) small_print(frame.ui, tr_count("second.part_trees", pass.part_trees));
  if (pass.winter.trees > 0) {
    small_print(frame.ui, tr_count("second.winter_counts", pass.winter.trees));
  }
  fact(frame.ui, tr("second.wanted"), whole(pass.flowering_spurs_target));
  const double take = pass.clusters_to_take_per_tree.value;
  const double band = pass.flowering_spurs_target * tolerance_of(frame);
  if (std::fabs(take) <= band) pill(frame.ui, tr("second.right"), Tone::good);
  else if (take > 0) strong_line(frame.ui, tr("second.take", {{"n", whole(take)}}));
  else strong_line(frame.ui, tr("second.short", {{"n", whole(-take)}}));
  if (pass.floral_fraction.value > 0) {
    paragraph(frame.ui, tr("second.fraction", {{"n", of_100(pass.floral_fraction.value)}}));
  }
  winter_part(frame);
}

}  // namespace

void draw_second_pass(Frame& frame) {
  open(frame, {.key = "second", .title = tr("second.title"),
               .actions = {{.id = "count", .label = tr("second.count"), .weight = 1.7f},
                           {.id = "limbs", .label = tr("second.limbs"), .kind = Kind::quiet}}});
  save_state(frame);
  paragraph(frame.ui, tr("second.text"));
  const auto stage = [&] { stage_part(frame); };
  const auto result = [&] { result_part(frame); };
  side_by_side(frame, result, stage);
  const bool limbs = frame.bar.action == "limbs";
  if (limbs || frame.bar.action == "count") {
    const ledger::BlockSeason* block = frame.block();
    const orchard::TreeAddress tree =
        block ? next_tagged(*block, block->cluster_counts, block->part_clusters)
              : orchard::TreeAddress{1, 1};
    frame.want(OpenCount{limbs ? CountPurpose::part_clusters : CountPurpose::clusters,
                         frame.block_id(), tree});
  }
  finish(frame);
}

}  // namespace nthtree::screens
