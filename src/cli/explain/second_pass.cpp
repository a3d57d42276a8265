// SPDX-License-Identifier: Apache-2.0
// The second pass at green tip, where floral clusters were counted.
#include "advice/known/winter_judged.h"
#include "base/text.h"
#include "cli/explain/steps.h"
#include "ledger/current.h"

namespace nthtree::cli {

namespace {

// Each tree that was counted by some limbs: all its limbs times their mean.
void explain_limbs(const ledger::BlockSeason& block, Worksheet& sheet) {
  for (const auto& entry : ledger::current(block.part_clusters)) {
    const ledger::LimbCounts& counted = entry.body.counted;
    std::string sum;
    for (const int limb : counted.limbs) sum += (sum.empty() ? "" : " + ") + num(limb);
    sheet.equation(base::print("clusters of row %d tree %d, from %d of its %d limbs",
                               entry.body.tree.row, entry.body.tree.tree, counted.draw.drawn(),
                               counted.draw.limbs),
                   num(counted.draw.limbs) + " × (" + sum + ") ÷ " + num(counted.draw.drawn()),
                   counted.on_tree());
  }
}

}  // namespace

void explain_second_pass(const ExplainedBlock& it, Worksheet& sheet) {
  const auto pass = advice::second_pass_and_winter(*it.block);
  if (pass.trees == 0) return;
  sheet.step("Second pass: floral clusters are visible");
  std::string sum;
  double clusters = 0;
  for (const double count : pass.clusters) {
    sum += (sum.empty() ? "" : " + ") + num(count);
    clusters += count;
  }
  explain_limbs(*it.block, sheet);
  const double n = static_cast<double>(pass.clusters.size());
  sheet.equation("floral clusters on a tree", "(" + sum + ") ÷ " + num(n), clusters / n);
  if (const advice::WinterHelp& winter = pass.winter; winter.trees > 0) {
    sheet.equation(base::print("led by the winter's counts of %d trees, %d of them with clusters",
                               winter.trees, winter.pairs),
                   num(winter.clusters_mean_of_pairs) + " + " + num(winter.slope) + " × (" +
                       num(winter.spurs_mean) + " - " + num(winter.spurs_mean_of_pairs) + ")",
                   pass.floral_clusters_per_tree.value);
  }
  sheet.equation("to take (negative: short)", num(pass.floral_clusters_per_tree.value) + " - " +
                 num(pass.flowering_spurs_target), pass.clusters_to_take_per_tree.value,
                 base::print("(%s to %s)", plain(pass.clusters_to_take_per_tree.low).c_str(),
                             plain(pass.clusters_to_take_per_tree.high).c_str()));
  const auto judged = advice::winter_judged(*it.block);
  if (judged.what == advice::WinterWas::not_known) return;
  const auto error = [](const orchard::Estimate& share) {
    return "((" + num(share.high) + " - " + num(share.low) + ") ÷ (2 × z(0.95)))";
  };
  const std::string promised = error(judged.promised), seen = error(judged.seen);
  sheet.equation("z of winter's buds against clusters",
                 "(" + num(judged.promised.value) + " - " + num(judged.seen.value) + ") ÷ √(" +
                     promised + " × " + promised + " + " + seen + " × " + seen + ")",
                 judged.z, "(told apart beyond 1.96 either way)");
}

}  // namespace nthtree::cli
