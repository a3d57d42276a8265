// SPDX-License-Identifier: Apache-2.0
//
// The names that stand in records. Phones of all ages in the field read them.
#pragma once

#include <string_view>

#include "ledger/fields.h"

namespace nthtree::ledger::wire {

// ---- DO NOT CHANGE below this line: add names, never rename, reorder or reuse one. ----

inline constexpr int version = 1;

// Kinds, in the order of Body's alternatives; index 0 (Unknown) has no name.
inline constexpr std::string_view kinds[] = {
    "",              "farm",           "block",         "person",        "bud_sample",
    "before_count",  "tag_count",      "check_count",   "advice",        "work_spell",
    "block_progress", "growth_stage",  "cluster_count", "harvest_count", "return_bloom",
    "exercise_count", "withdrawal",    "variety",
};

inline const Choices roles = {"pruner", "lead", "manager"};
inline const Choices branch_positions = {"upper", "lower"};
inline const Choices directions = {"harder", "lighter", "on_target"};
inline const Choices block_steps = {"started", "finished", "accepted", "revisit"};
inline const Choices biennial_tendencies = {"low", "medium", "high"};
inline const Choices pruning_times = {"before_green_tip", "rebase_after_green_tip", "either"};
inline const Choices yield_units = {"boxes_per_acre", "boxes_per_ha", "bins_per_acre",
                                    "bins_per_ha",    "kg_per_acre",  "kg_per_ha",
                                    "t_per_acre",     "t_per_ha",     "lb_per_acre"};

// ---- DO NOT CHANGE above this line. ----

}  // namespace nthtree::ledger::wire
