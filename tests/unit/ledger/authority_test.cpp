// SPDX-License-Identifier: Apache-2.0
#include "ledger/authority.h"

#include <doctest/doctest.h>

namespace nthtree::ledger {
namespace {

using orchard::Role;

TEST_SUITE("ledger") {

TEST_CASE("a pruner counts, a lead also re-counts and advises, a manager sets everything else") {
  CHECK(role_needed(TagCount{}) == Role::pruner);
  CHECK(role_needed(WorkSpell{}) == Role::pruner);
  CHECK(role_needed(RowDone{}) == Role::pruner);
  CHECK(role_needed(TreeState{}) == Role::pruner);
  CHECK(role_needed(Withdrawal{}) == Role::pruner);
  CHECK(role_needed(Unknown{}) == Role::pruner);
  CHECK(role_needed(CheckCount{}) == Role::lead);
  CHECK(role_needed(Advice{}) == Role::lead);
  CHECK(role_needed(ExerciseCount{}) == Role::lead);
  CHECK(role_needed(FarmSettings{}) == Role::manager);
  CHECK(role_needed(BlockSettings{}) == Role::manager);
  CHECK(role_needed(PersonSettings{}) == Role::manager);
  CHECK(role_needed(HarvestCount{}) == Role::manager);
}

TEST_CASE("everybody counts in an exercise on the lead's phone") {
  CHECK(role_needed_of_author(ExerciseCount{}) == Role::pruner);
  CHECK(role_needed_of_author(CheckCount{}) == Role::lead);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::ledger
