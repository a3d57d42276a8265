// SPDX-License-Identifier: Apache-2.0
#include "ledger/authority.h"

namespace nthtree::ledger {
namespace {

using orchard::Role;

// One overload a kind, so that a new kind does not compile before somebody has decided.
Role needed(const Unknown&) { return Role::pruner; }
Role needed(const Withdrawal&) { return Role::pruner; }
Role needed(const TagCount&) { return Role::pruner; }
Role needed(const WorkSpell&) { return Role::pruner; }
Role needed(const RowDone&) { return Role::pruner; }
Role needed(const TreeState&) { return Role::pruner; }
Role needed(const PartCount&) { return Role::pruner; }
Role needed(const EyeScore&) { return Role::pruner; }
Role needed(const TreeSize&) { return Role::pruner; }
Role needed(const BudSample&) { return Role::lead; }
Role needed(const FrostSample&) { return Role::lead; }
Role needed(const BeforeCount&) { return Role::lead; }
Role needed(const CheckCount&) { return Role::lead; }
Role needed(const PartCheck&) { return Role::lead; }
Role needed(const Advice&) { return Role::lead; }
Role needed(const BlockProgress&) { return Role::lead; }
Role needed(const GrowthStage&) { return Role::lead; }
Role needed(const ClusterCount&) { return Role::lead; }
Role needed(const PartClusters&) { return Role::lead; }
Role needed(const Temperatures&) { return Role::lead; }
Role needed(const ExerciseCount&) { return Role::lead; }
Role needed(const FarmSettings&) { return Role::manager; }
Role needed(const BlockSettings&) { return Role::manager; }
Role needed(const PersonSettings&) { return Role::manager; }
Role needed(const VarietySettings&) { return Role::manager; }
Role needed(const SeasonClosed&) { return Role::manager; }
Role needed(const HarvestCount&) { return Role::manager; }
Role needed(const ReturnBloom&) { return Role::manager; }

}  // namespace

Role role_needed(const Body& body) {
  return std::visit([](const auto& kind) { return needed(kind); }, body);
}

Role role_needed_of_author(const Body& body) {
  return std::holds_alternative<ExerciseCount>(body) ? Role::pruner : role_needed(body);
}

}  // namespace nthtree::ledger
