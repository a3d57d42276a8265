// SPDX-License-Identifier: Apache-2.0
// The second pass at green tip, where floral clusters were counted.
#include "base/text.h"
#include "cli/explain/steps.h"

namespace nthtree::cli {

void explain_second_pass(const ExplainedBlock& it, Worksheet& sheet) {
  const auto pass = advice::second_pass(*it.block);
  if (pass.trees == 0) return;
  sheet.step("Second pass: floral clusters are visible");
  std::string sum;
  for (const double count : pass.clusters) sum += (sum.empty() ? "" : " + ") + num(count);
  sheet.equation("floral clusters on a tree", "(" + sum + ") ÷ " +
                 num(static_cast<double>(pass.clusters.size())),
                 pass.floral_clusters_per_tree.value);
  sheet.equation("to take (negative: short)", num(pass.floral_clusters_per_tree.value) + " - " +
                 num(pass.flowering_spurs_target), pass.clusters_to_take_per_tree.value,
                 base::print("(%s to %s)", plain(pass.clusters_to_take_per_tree.low).c_str(),
                             plain(pass.clusters_to_take_per_tree.high).c_str()));
}

}  // namespace nthtree::cli
