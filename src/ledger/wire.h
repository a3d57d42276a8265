// SPDX-License-Identifier: Apache-2.0
//
// The spellings that stand in records; those of the kinds stand in kinds.h. Phones of all ages in
// the field read them.
#pragma once

#include "ledger/fields.h"

namespace nthtree::ledger::wire {

// ---- DO NOT CHANGE below this line: add names, never rename, reorder or reuse one. ----

inline constexpr int version = 1;

inline const Choices roles = {"pruner", "lead", "manager"};
inline const Choices branch_positions = {"upper", "lower"};
inline const Choices size_classes = {"weak", "middling", "strong"};
inline const Choices directions = {"harder", "lighter", "on_target"};
inline const Choices block_steps = {"started", "finished", "accepted", "revisit"};
inline const Choices biennial_tendencies = {"low", "medium", "high"};
inline const Choices pruning_times = {"before_green_tip", "rebase_after_green_tip", "either"};
inline const Choices row_sides = {"left", "right"};
inline const Choices tree_kinds = {"bearing", "missing", "replant", "pollinizer",
                                   "other_variety"};
inline const Choices yield_units = {"boxes_per_acre", "boxes_per_ha", "bins_per_acre",
                                    "bins_per_ha",    "kg_per_acre",  "kg_per_ha",
                                    "t_per_acre",     "t_per_ha",     "lb_per_acre"};

// ---- DO NOT CHANGE above this line. ----

}  // namespace nthtree::ledger::wire
