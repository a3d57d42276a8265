// SPDX-License-Identifier: Apache-2.0
//
// What `nthtree target` is asked: a block's goal, spacing and buds, read from JSON. The wire form
// of a block's settings is understood too (its goal stands under "target").
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "ledger/bodies.h"
#include "orchard/target.h"

namespace nthtree::cli {

struct TargetRequest {
  orchard::TargetInput input;
  std::optional<orchard::Spacing> spacing;
  // Exactly one of these two, or input.floral_fraction.
  std::optional<orchard::Estimate> floral_interval;
  std::vector<ledger::BudSample> branches;
  // Two lists without branches_per_tree: each branch was taken for a tree of its own.
  bool branches_taken_as_trees = false;
  double tolerance_fraction = 0.15;
  std::string variety;                    // empty where not named
  bool has_insurance_factor = false, has_seeds_per_fruit = false;
  // What unpruned trees carry, for the consequences beside the target.
  std::optional<double> unpruned_spurs_per_tree;
  int limbs_per_tree = 0;                 // 0 where not known
  std::optional<double> bearing_branches_per_tree;
  double fruitlets_per_spur = 1;          // NIAB: of 5-6 flowers one in six sets
  double hand_thinning_fruitlets_per_hour = 1000;  // common practice, no source
  bool yield_is_flat = false;             // "yield": 1500 with "unit" beside it
  std::vector<std::string> unused_fields;  // not known, and so not used
};

// Errors name the field as it stands in the text, the value and what is allowed.
base::Result<TargetRequest> read_target_request(std::string_view json_text);

}  // namespace nthtree::cli
