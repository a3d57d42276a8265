// SPDX-License-Identifier: Apache-2.0
//
// What the pruners counted on each tree in winter, whole or of some limbs, for those who come back
// to the same trees: the second pass and the harvest. Internal to advice/.
//
//   for (const auto& [tree, count] : winter_counts(block)) …
#pragma once

#include <cstdint>
#include <map>
#include <string>

#include "advice/internal/current.h"

namespace nthtree::advice {

struct WinterCount {
  double spurs = 0;  // left on the tree, after a mend; of limbs the tree that they make
  std::string author;
};

// By tree_key, the latest of each tree; a whole count before one of some limbs.
inline std::map<std::int64_t, WinterCount> winter_counts(const ledger::BlockSeason& block) {
  std::map<std::int64_t, WinterCount> trees;
  for_current(block.part_counts, always, [&](const auto& entry) {
    trees[tree_key(entry.body.tree)] = {entry.body.counted.on_tree(), entry.author};
  });
  for_current(block.tag_counts, always, [&](const auto& entry) {
    const double left = entry.body.spurs_after_mend.value_or(entry.body.spurs);
    trees[tree_key(entry.body.tree)] = {left, entry.author};
  });
  return trees;
}

}  // namespace nthtree::advice
