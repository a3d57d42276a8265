// SPDX-License-Identifier: Apache-2.0
#include "advice/worksheet/standing_sheet.h"

#include <cmath>

#include "advice/internal/context.h"
#include "advice/internal/crew_level.h"
#include "advice/internal/current.h"
#include "advice/internal/day_parts.h"

namespace nthtree::advice {
namespace {

SpreadPart part_of(const SpreadSums& sums, const std::string& person = "") {
  return {person, sums.squares, sums.df};
}

LimbSheet limbs_of(const StandingInput& input, const StandingModel& model) {
  const LimbSums sums = limb_sums(input);
  return {limb_cv_prior, limb_df_prior, sums.squares, sums.df, sums.trees,
          model.spread.limb_variance, step_factor};
}

BlockSpread spread_of(const StandingInput& input, const StandingModel& model) {
  BlockSpread spread;
  spread.prior_cv = prior_spread_cv;
  spread.prior_df = prior_spread_df;
  spread.elsewhere = part_of(spread_elsewhere(input));
  spread.unpruned = part_of(input.here->unpruned);
  for (const auto& [person, evidence] : input.here->people) {
    const SpreadSums sums = spread_sums(evidence, input.bias->of(person).log_mean,
                                        model.spread.limb_variance);
    if (sums.df > 0) spread.people.push_back(part_of(sums, person));
  }
  spread.variance = model.spread.variance;
  spread.df = model.spread.df;
  spread.autocorrelation = model.spread.autocorrelation;
  spread.row_share = model.spread.row_share;
  return spread;
}

PrunerSpread spread_of_pruner(const StandingInput& input, const StandingModel& model,
                              std::size_t i) {
  const std::string& person = model.people[i];
  const Spread& found = model.spreads[i];
  PrunerSpread spread;
  const SpreadSums sums = spread_sums(input.here->people.at(person),
                                      input.bias->of(person).log_mean,
                                      model.spread.limb_variance, &spread.days);
  spread.squares = sums.squares;
  spread.df = sums.df;
  spread.block_weight = weight_of_block(model.spread);
  spread.variance = found.variance;
  spread.total_df = found.df;
  spread.counts_a_row = found.counts_a_row;
  spread.inflation = found.inflation();
  spread.open_mean = model.tracks[i].mean_open();
  spread.count_variance = found.variance * found.inflation() + spread.open_mean;
  return spread;
}

CrewTerms crew_without(const StandingModel& model, std::size_t left_out) {
  const CrewLevel crew = crew_level(model.levels, left_out);
  CrewTerms terms{crew_prior_mean, crew_prior_variance, crew_prior_between, crew_prior_weight,
                  {}, crew.between_before, crew.mean, crew.mean_variance, crew.between};
  for (std::size_t i = 0; i < model.people.size(); ++i) {
    if (i == left_out || model.levels[i].variance > unknown_variance) continue;
    terms.others.push_back({model.people[i], model.levels[i].mean, model.levels[i].variance});
  }
  return terms;
}

PrunerSheet sheet_of(const BlockContext& context, const StandingInput& input,
                     const StandingModel& model, const CrewRow& row) {
  PrunerSheet sheet;
  sheet.row = row;
  std::size_t i = 0;
  while (i < model.people.size() && model.people[i] != row.person) ++i;
  if (i == model.people.size()) return sheet;
  sheet.spread = spread_of_pruner(input, model, i);
  sheet.crew = crew_without(model, i);
  sheet.steps = level_steps_in(input, row.person);
  sheet.level_mean = model.tracks[i].mean;
  sheet.level_variance = model.tracks[i].variance;
  sheet.pooled_mean = model.levels[i].mean;
  sheet.unchecked_share = model.tracks[i].unchecked_share;
  sheet.own_variance = squared(row.standing.own.sd) - squared(row.standing.target_log_sd);
  sheet.prior_variance = squared(row.standing.prior.sd) - squared(row.standing.target_log_sd);
  sheet.check = check_boundary(row.standing, context.settings);
  return sheet;
}

}  // namespace

StandingSheet standing_sheet(const ledger::Season& season, const std::string& block,
                             std::int64_t now_ms) {
  StandingSheet sheet;
  const ledger::BlockSeason* found = season.block(block);
  if (!found || !found->block) return sheet;
  const BlockContext context = make_context(season, *found, now_ms, cut_for(season, now_ms));
  const StandingModel& model = context.model;
  const StandingInput& input = model.input;
  sheet.settings = context.settings;
  sheet.overnight_sd = model.movement.day_sd;
  sheet.advice_taken = model.movement.advice_taken;
  sheet.advice_share_sd = model.movement.advice_share_sd;
  sheet.advice_sd = model.movement.advice_sd;
  sheet.flat_variance = unknown_variance;
  sheet.spread = spread_of(input, model);
  sheet.limbs = limbs_of(input, model);
  for (const auto& [person, eye] : model.eyes.eyes()) sheet.eyes.push_back({person, eye});
  for (const CrewRow& row : crew_in(context)) {
    sheet.pruners.push_back(sheet_of(context, input, model, row));
  }
  return sheet;
}

}  // namespace nthtree::advice
