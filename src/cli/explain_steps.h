// SPDX-License-Identifier: Apache-2.0
//
// The steps of `nthtree explain`, each written on the worksheet: from the goal to the target, from
// counts to standings, and the block as a whole.
#pragma once

#include "advice/known/block_target.h"
#include "cli/season_files.h"
#include "cli/worksheet.h"
#include "ledger/season.h"

namespace nthtree::cli {

struct ExplainedBlock {
  const FarmMoment* farm = nullptr;
  const ledger::BlockSeason* block = nullptr;  // with settings
  advice::BlockTarget target;
};

// A person as pages name them: id and name, or the id alone of one nobody knows.
std::string who(const ExplainedBlock& it, const std::string& person);

void explain_goal(const ExplainedBlock& it, Worksheet& sheet);      // trees, fruits, spurs
void explain_floral(const ExplainedBlock& it, Worksheet& sheet);    // buds cut open
void explain_target(const ExplainedBlock& it, Worksheet& sheet);    // spurs to leave, band, seeds
void explain_unpruned(const ExplainedBlock& it, Worksheet& sheet);  // what is to come off
void explain_plan(const ExplainedBlock& it, Worksheet& sheet);      // which trees are counted
void explain_spread(const ExplainedBlock& it, Worksheet& sheet);    // shape, stop lines
void explain_double_sampling(const ExplainedBlock& it, Worksheet& sheet);  // tags and re-counts
void explain_counting(const ExplainedBlock& it, Worksheet& sheet);  // what people miss
void explain_standings(const ExplainedBlock& it, Worksheet& sheet); // each pruner, and the verdict
// One pruner's level, day by day; factor: what a tag is multiplied by.
void explain_level(const ExplainedBlock& it, const std::string& person, double factor,
                   double target, Worksheet& sheet);
void explain_exercises(const ExplainedBlock& it, Worksheet& sheet);  // where there are any
void explain_second_pass(const ExplainedBlock& it, Worksheet& sheet);
void explain_learning(const ExplainedBlock& it, Worksheet& sheet);
void explain_block(const ExplainedBlock& it, Worksheet& sheet);     // mean, acceptance, the rest
void explain_pace(const ExplainedBlock& it, Worksheet& sheet);      // pace and cost

}  // namespace nthtree::cli
