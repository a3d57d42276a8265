// SPDX-License-Identifier: Apache-2.0
//
// What is known of one block: its settings and a list of entries for each kind of record that is
// about a block. Filled by the season (season.h), which says when it changes.
//
//   for (const auto& entry : block.tag_counts) if (!entry.withdrawn) sum += entry.body.spurs;
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "ledger/bodies.h"
#include "ledger/change_log.h"
#include "ledger/record_id.h"

namespace nthtree::ledger {

// A record of one kind as it stands now, after corrections.
template <typename T>
struct Entry {
  FoldPosition position;  // of the record that first said it
  std::string author;     // of the record that first said it
  T body;                 // as last corrected
  bool corrected = false;
  bool withdrawn = false;
  bool closed = false;  // of a season that is over (season_closed), or after the one looked at

  std::int64_t at_ms() const { return position.stamp.at_ms; }
};
template <typename T>
using Entries = std::vector<Entry<T>>;  // in the order of the fold, withdrawn ones included

struct BlockSeason {
  std::string id;
  std::optional<orchard::Block> block;  // empty until its settings have arrived
  Entries<BudSample> bud_samples;
  Entries<BeforeCount> before_counts;
  Entries<TagCount> tag_counts;
  Entries<CheckCount> check_counts;
  Entries<Advice> advice;
  Entries<WorkSpell> work_spells;
  Entries<BlockProgress> progress;
  Entries<GrowthStage> growth_stages;
  Entries<ClusterCount> cluster_counts;
  Entries<HarvestCount> harvest_counts;
  Entries<ReturnBloom> return_bloom;
  Entries<ExerciseCount> exercise_counts;
  Entries<RowDone> rows_done;
  Entries<TreeState> tree_states;
  Entries<PartCount> part_counts;
  Entries<PartCheck> part_checks;
  Entries<EyeScore> eye_scores;
  Entries<TreeSize> tree_sizes;
  Entries<FrostSample> frost_samples;
  Entries<PartClusters> part_clusters;
  ChangeLog changes;         // for caches
  std::uint32_t number = 0;  // as this device came to hear of the blocks
};

}  // namespace nthtree::ledger
