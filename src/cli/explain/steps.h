// SPDX-License-Identifier: Apache-2.0
//
// The steps of `nthtree explain`, each written on the worksheet: from the goal to the target, from
// counts to standings, and the block as a whole.
#pragma once

#include "advice/known/block_target.h"
#include "advice/known/planting.h"
#include "advice/worksheet/standing_sheet.h"
#include "cli/season_files.h"
#include "cli/worksheet.h"
#include "ledger/season.h"

namespace nthtree::cli {

struct ExplainedBlock {
  const FarmMoment* farm = nullptr;
  const ledger::BlockSeason* block = nullptr;  // with settings
  advice::BlockTarget target;

  // Those of the block that bear, at that moment.
  double bearing_trees() const {
    return static_cast<double>(advice::planting_of(*block, farm->now_ms).bearing());
  }
  // The farm counts in feet, acres and pounds.
  bool us() const { return farm->season.farm().us_units; }
};

// Half width of the block's mean that the plan and the stop lines are worked out for, as a share.
inline constexpr double explained_half_width = 0.10;

// A person as pages name them: id and name, or the id alone of one nobody knows.
std::string who(const ExplainedBlock& it, const std::string& person);

void explain_goal(const ExplainedBlock& it, Worksheet& sheet);      // trees, fruits, spurs
void explain_floral(const ExplainedBlock& it, Worksheet& sheet);    // buds cut open
void explain_target(const ExplainedBlock& it, Worksheet& sheet);    // spurs to leave, band, seeds
void explain_unpruned(const ExplainedBlock& it, Worksheet& sheet);  // what is to come off
void explain_plan(const ExplainedBlock& it, Worksheet& sheet);      // which trees are counted
void explain_when(const ExplainedBlock& it, Worksheet& sheet);      // the time, green tip ahead
void explain_spread(const ExplainedBlock& it, Worksheet& sheet);    // shape, stop lines
void explain_double_sampling(const ExplainedBlock& it, Worksheet& sheet);  // tags and re-counts
void explain_counting(const ExplainedBlock& it, Worksheet& sheet);  // what people miss
void explain_standings(const ExplainedBlock& it, Worksheet& sheet); // each pruner, and the verdict
// Of one pruner: the level, day by day; then the verdict's two lines against it.
void explain_level(const advice::StandingSheet& work, const advice::PrunerSheet& pruner,
                   Worksheet& sheet);
// Of limbs and eyes; then a day with counts of some limbs or looks.
void explain_components(const ExplainedBlock& it, const advice::StandingSheet& work,
                        Worksheet& sheet);
void explain_mixed_day(const advice::LevelStep& step, Worksheet& sheet);
void explain_verdict(const ExplainedBlock& it, const advice::PrunerSheet& pruner,
                     Worksheet& sheet);
void explain_against_crew(const ExplainedBlock& it, const advice::PrunerSheet& pruner,
                          Worksheet& sheet);
void explain_exercises(const ExplainedBlock& it, Worksheet& sheet);  // where there are any
void explain_second_pass(const ExplainedBlock& it, Worksheet& sheet);
void explain_learning(const ExplainedBlock& it, Worksheet& sheet);
void explain_block(const ExplainedBlock& it, Worksheet& sheet);     // mean, acceptance, the rest
void explain_pace(const ExplainedBlock& it, Worksheet& sheet);      // pace and cost

}  // namespace nthtree::cli
