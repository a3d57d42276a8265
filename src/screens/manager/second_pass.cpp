// SPDX-License-Identifier: Apache-2.0
// Green tip to bloom: clusters are seen now, so what is left is counted as such and the remaining
// correction per tree is told. Stages are BBCH codes for pome fruit.
#include <cmath>

#include "ledger/live.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr int stages[] = {53, 54, 56, 57, 65};
constexpr int first_open_flowers = 60;

int stage_now(const ledger::BlockSeason* block) {
  int now = -1;
  if (!block) return now;
  for (const auto& entry : ledger::live(block->growth_stages)) now = entry.body.bbch;
  return now;
}

void stage_part(Scene& scene) {
  const int now = stage_now(scene.block());
  std::vector<widgets::ChoiceRow> rows;
  int selected = -1;
  for (int i = 0; i < 5; ++i) {
    rows.push_back({.id = "stage/" + std::to_string(stages[i]),
                    .label = tr("second.stage." + std::to_string(stages[i])),
                    .detail = "BBCH " + std::to_string(stages[i])});
    if (stages[i] == now) selected = i;
  }
  const int chosen = radio_list(scene.ui, {.id = "stage", .label = tr("second.stage"),
                                           .items = rows, .selected = selected});
  if (chosen != selected && chosen >= 0) {
    SaveRecords save;
    save.bodies = {ledger::GrowthStage{scene.block_id(), stages[chosen]}};
    scene.want(save);
  }
  if (now >= first_open_flowers) {
    notice(scene.ui, {.id = "bees", .tone = Tone::caution, .text = tr("second.caution")});
  }
}

void result_part(Scene& scene) {
  const advice::SecondPass& pass = scene.reckoning.second_pass(scene.season, scene.block_id());
  if (pass.trees == 0) {
    empty_state(scene.ui, {.id = "none", .glyph = Glyph::bud,
                           .text = tr("second.empty")});
    return;
  }
  const orchard::Estimate& on_tree = pass.floral_clusters_per_tree;
  fact(scene.ui, tr("second.on_tree"),
       whole(on_tree.value) + " (" + range_text(on_tree.low, on_tree.high) + ")");
  fact(scene.ui, tr("second.wanted"), whole(pass.flowering_spurs_target));
  const double take = pass.clusters_to_take_per_tree.value;
  const double band = pass.flowering_spurs_target * tolerance_of(scene);
  if (std::fabs(take) <= band) pill(scene.ui, tr("second.right"), Tone::good);
  else if (take > 0) strong_line(scene.ui, tr("second.take", {{"n", whole(take)}}));
  else strong_line(scene.ui, tr("second.short", {{"n", whole(-take)}}));
  if (pass.floral_fraction.value > 0) {
    paragraph(scene.ui, tr("second.fraction", {{"n", of_100(pass.floral_fraction.value)}}));
  }
}

}  // namespace

void draw_second_pass(Scene& scene) {
  open(scene, {.key = "second", .title = tr("second.title"),
               .actions = {{.id = "count", .label = tr("second.count")}}});
  save_state(scene);
  paragraph(scene.ui, tr("second.text"));
  const auto stage = [&] { stage_part(scene); };
  const auto result = [&] { result_part(scene); };
  side_by_side(scene, result, stage);
  if (scene.bar.action == "count") {
    const ledger::BlockSeason* block = scene.block();
    const orchard::TreeAddress tree =
        block ? next_tagged(*block, block->cluster_counts) : orchard::TreeAddress{1, 1};
    scene.want(OpenCount{CountPurpose::clusters, scene.block_id(), tree});
  }
  finish(scene);
}

}  // namespace nthtree::screens
