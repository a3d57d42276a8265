// SPDX-License-Identifier: Apache-2.0
//
// From gathered evidence to standings, without touching records: what block_standings and the
// caching Advisor share. Internal to advice/.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "advice/known/counting_bias.h"
#include "advice/internal/count_sums.h"
#include "advice/internal/crew_level.h"
#include "advice/internal/evidence.h"
#include "advice/settings.h"
#include "advice/judged/standing.h"

namespace nthtree::advice {

struct StandingInput {
  const BlockEvidence* here = nullptr;
  const BlockLevels* elsewhere = &nothing_elsewhere;  // other blocks: what is known from before
  const CountingBias* bias = nullptr;
  double tolerance_fraction = 0.15;
  SpreadSums known_spread;                      // of the block, from what is not a count here
  EyeTable known_eyes;                          // pairs that are not of this season's records
  std::map<std::string, double> trees_pruned;   // here, by person; the block's weights
  double trees_per_count = 1;  // of somebody whose trees nobody noted: the planned stride
  // Where sums of the counts here are kept from one count to the next; null: they are made anew.
  PeopleSums* kept = nullptr;
};

// What is known of each person alone, and of the block's spread, before the crew is let in.
struct StandingModel {
  StandingInput input;
  Movement movement;
  Spread spread;                            // of the block
  std::vector<std::string> people;
  std::vector<Spread> spreads;
  std::vector<Track> tracks;
  std::vector<KnownLevel> levels;           // counting bias inside
  EyeModel eyes;
};

StandingModel follow_people(const StandingInput& input);
// The farm's other blocks' part of this block's spread.
SpreadSums spread_elsewhere(const StandingInput& input);
// Of all the farm's trees counted limb by limb.
LimbSums limb_sums(const StandingInput& input);

// Standings of people followed: of everybody and the block …
BlockStandings standings_in(const StandingModel& model);
// … or of one person alone, which is all that a verdict asks for; also without a count here.
Standing standing_in(const StandingModel& model, const std::string& person);

BlockStandings model_standings(const StandingInput& input);

// The steps of known/level_steps.h, of one person.
std::vector<LevelStep> level_steps_in(const StandingInput& input, const std::string& person);

// What a pruner weighs in the block's mean: trees pruned.
double trees_pruned_of(const StandingInput& input, const Standing& pruner);

std::map<std::string, double> trees_pruned_by(const ledger::BlockSeason& block,
                                              std::int64_t now_ms);

}  // namespace nthtree::advice
