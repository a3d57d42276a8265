// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/standing_model.h"

#include <algorithm>
#include <cmath>

#include "advice/internal/crew_level.h"
#include "advice/known/level_steps.h"
#include "advice/internal/current.h"
#include "advice/internal/looks.h"
#include "advice/internal/sum_tree.h"
#include "advice/judged/this_tree.h"
#include "stats/belief_mixture.h"

namespace nthtree::advice {
namespace {

constexpr double sd_unknown = 10;  // shown where nothing is known; keeps numbers finite

// Flat where they counted nowhere else.
TrackStart known_from_elsewhere(const StandingInput& input, const std::string& person) {
  const auto& people = input.elsewhere->people;
  const auto found = people.find(person);
  return found != people.end() ? found->second.start() : TrackStart{};
}

// The farm's other blocks tell this one's spread as well as a dozen of its own trees would.
constexpr double spread_df_elsewhere = 12;

// Of everybody here; `anew` holds them where the input keeps none.
const PeopleSums& sums_of_people(const StandingInput& input, double limb_variance,
                                 PeopleSums& anew) {
  PeopleSums& sums = input.kept ? *input.kept : anew;
  for (const auto& [person, evidence] : input.here->people) {
    sums[person].take(evidence, input.bias->of(person).log_mean, limb_variance);
  }
  return sums;
}

Spread spread_of_block(const StandingInput& input, double limb_variance,
                       const PeopleSums& people) {
  SpreadSums sums = spread_elsewhere(input);
  sums.add(input.known_spread);
  sums.add(input.here->unpruned);
  for (const auto& [person, own] : people) sums.add(own.spread());
  Spread spread = block_spread(sums);
  spread.limb_variance = limb_variance;
  return spread;
}

// The block's looks; the eyes learnt on the whole farm.
Looks looks_in(const StandingInput& input, const Spread& block) {
  EyeTable sums;
  if (!input.here->scores.empty()) sums = eye_sums(*input.here, *input.bias, block.limb_variance);
  add_each(input.elsewhere->eyes, sums);
  add_each(input.known_eyes, sums);
  return Looks(*input.here, *input.bias, block.limb_variance,
               EyeModel(std::move(sums), block.variance));
}

// Levels are followed as means and pooled as logarithms; the logarithm of a mean that scatters with
// relative variance V lies V / 2 low on average (to second order).
double unbiased_log(const Track& level) {
  constexpr double correction_most = 0.1;
  return level.mean + std::min(level.variance / 2, correction_most);
}

}  // namespace

LimbSums limb_sums(const StandingInput& input) {
  LimbSums limbs = input.here->limbs;
  limbs.add(input.elsewhere->limbs);
  return limbs;
}

SpreadSums spread_elsewhere(const StandingInput& input) {
  SpreadSums sums = input.elsewhere->spread;
  sums.weaken(spread_df_elsewhere);
  return sums;
}

StandingModel follow_people(const StandingInput& input) {
  const double limb_variance = limb_sums(input).variance();
  PeopleSums anew;
  const PeopleSums& sums = sums_of_people(input, limb_variance, anew);
  StandingModel model{input, {}, spread_of_block(input, limb_variance, sums), {}, {}, {}, {}, {}};
  const Looks looks = looks_in(input, model.spread);
  model.eyes = looks.eyes();
  for (const auto& [person, evidence] : input.here->people) {
    const Counter counter = input.bias->of(person);
    const CountSums& counted = sums.at(person);
    const Spread own = person_spread(counted, model.spread);
    PersonEvidence merged;  // made only where somebody looked: a season has many counts
    if (!looks.none()) {
      merged = with_looks(evidence, looks.at(person, std::exp(counter.log_mean), own));
    }
    const PersonEvidence& seen = looks.none() ? evidence : merged;
    if (seen.counts.empty()) continue;
    const Track level =
        track(seen, input.here->target_spurs, counter.log_mean, own, model.movement,
              known_from_elsewhere(input, person),
              looks.none() ? counted.days() : std::span<const DayCounts>());
    const double bias = counter.log_sd * level.unchecked_share;
    model.people.push_back(person);
    model.spreads.push_back(own);
    model.tracks.push_back(level);
    model.levels.push_back({unbiased_log(level), level.variance + bias * bias});
  }
  return model;
}

namespace {

void fill_target(const StandingInput& input, Standing& standing) {
  standing.block = input.here->block;
  standing.has_target = input.here->has_target;
  standing.target = input.here->target.spurs_to_leave_per_tree;
  standing.target_log_sd = input.here->target_log_sd;
  standing.branches_more = input.here->branches_more;
  standing.unpruned_spurs = input.here->unpruned_spurs;
}

// A coefficient of variation above which the trees look like two kinds (published spreads for
// one kind of tree end at 45 %, most lie near 25 %), and a share of bare trees worth a word.
constexpr double two_kinds_cv = 0.38, bare_share_told = 0.03;
constexpr double alike_told = 0.15;
// Rows are said to differ at one in twenty; before that, somebody whose counts crowd into a row or
// two may have met a rich one.
constexpr double row_doubt_told = 0.05;
constexpr double crowded_counts = 4, few_rows_seen = 2.5, rows_df_enough = 4;
constexpr double pairs_enough = 20;  // neighbours alike by 0.4 show themselves by then

void fill_signs(const Spread& spread, Standing& standing) {
  standing.mixed = spread.df > 12 && spread.variance > two_kinds_cv * two_kinds_cv;
  standing.bare_trees = spread.bare_share > bare_share_told;
  standing.neighbours_alike = spread.autocorrelation > alike_told;
  standing.rows_differ = spread.row_doubt < row_doubt_told;
  standing.little_known = spread.pairs < pairs_enough;
  standing.few_rows = !standing.rows_differ && spread.counts_a_row >= crowded_counts &&
                      spread.rows_seen < few_rows_seen && spread.rows_df < rows_df_enough;
}

constexpr std::size_t far_looked_back = 6;  // chance makes two of them far rarely (METHODS.md)

void fill_far_trees(const PersonEvidence& evidence, Standing& standing) {
  const std::int64_t told_ms = evidence.advice.empty() ? 0 : evidence.advice.back().at_ms;
  const auto& counts = evidence.counts;
  const double of_reachable = standing.target.value / standing.reachable_spurs();
  for (std::size_t i = 0; i < std::min(far_looked_back, counts.size()); ++i) {
    const CountPoint& point = counts[counts.size() - 1 - i];
    const double share = (point.share_tag - point.more().share_mended) * of_reachable;
    if (point.at_ms <= told_ms) break;
    if (point.has_check() || !is_far_off(share)) continue;
    ++(share > 1 ? standing.far_over : standing.far_under);
    standing.last_is_far = standing.last_is_far || i == 0;
  }
}

// Nobody can leave more than was there.
void cap_missing(Standing& standing) {
  const auto capped = [&](double over, double spurs) {
    return std::max(over, -at_least_zero(standing.unpruned_spurs - spurs));
  };
  const orchard::Estimate& spurs = standing.spurs_per_tree;
  orchard::Estimate& over = standing.over_target;
  over = {capped(over.value, spurs.value), capped(over.low, spurs.low),
          capped(over.high, spurs.high)};
}

// Estimates and chances from standing.log_ratio, which must be set.
void fill_answers(double tolerance, Standing& standing) {
  const double target = standing.target.value;
  const LogRatio& r = standing.log_ratio;
  const double without_target = std::sqrt(
      at_least_zero(r.sd * r.sd - standing.target_log_sd * standing.target_log_sd));
  if (standing.has_target) {
    standing.spurs_per_tree = log_estimate(r.mean, without_target, target);
    const orchard::Estimate ratio = log_estimate(r.mean, r.sd);
    standing.over_target = {target * (ratio.value - 1), target * (ratio.low - 1),
                            target * (ratio.high - 1)};
    if (standing.is_target_out_of_reach()) cap_missing(standing);
    const double high = std::log1p(tolerance), low = std::log1p(-std::min(tolerance, 0.95));
    standing.probability_over = chance_above(standing, high);
    standing.probability_under = chance_below(standing, low);
    standing.probability_within =
        at_least_zero(1 - standing.probability_over - standing.probability_under);
  }
  standing.confidence = std::max({standing.probability_over, standing.probability_within,
                                  standing.probability_under});
}

// The person's level pooled with the crew's, as they count as usual and as they do not.
void pool_with_crew(double own_mean, double own_variance, const stats::BeliefMixture& ratio,
                    const CrewLevel& crew, Standing& standing) {
  const double share = standing.unchecked_share, used = ratio.mean();
  const double target_variance = standing.target_log_sd * standing.target_log_sd;
  const auto level_if = [&](const stats::NormalBelief& counts) {
    return stats::NormalBelief::about(own_mean + share * (counts.mean - used),
                                      own_variance + share * share * counts.variance());
  };
  const auto with_target = [&](const stats::NormalBelief& level) {
    return LogRatio{level.mean, std::sqrt(level.variance() + target_variance)};
  };
  stats::BeliefMixture level{level_if(ratio.usual), level_if(ratio.off), ratio.off_chance};
  level = observe(level, crew.mean, crew.variance_of_one());
  standing.miscount = {level.off_chance, with_target(level.usual), with_target(level.off)};
  const double half_width = (level.quantile(0.95) - level.quantile(0.05)) / 2;
  standing.log_ratio = {level.mean(), std::hypot(half_width / z_90, standing.target_log_sd)};
}

Standing standing_of_pruner(const StandingModel& model, std::size_t i) {
  const Track& level = model.tracks[i];
  const Spread& spread = model.spreads[i];
  const CrewLevel crew = crew_level(model.levels, i);
  Standing standing;
  standing.whose = Whose::pruner;
  standing.person = model.people[i];
  fill_target(model.input, standing);
  const double target_variance = standing.target_log_sd * standing.target_log_sd;
  const stats::BeliefMixture ratio = model.input.bias->of(standing.person).log_ratio;
  // The verdict goes by the likelier way to count, and is told only where the other would not
  // make it wrong (verdict.cpp).
  const stats::NormalBelief& counting = ratio.likelier();
  standing.bias_log_sd = counting.sd() * level.unchecked_share;
  standing.own = {level.mean + level.unchecked_share * (counting.mean - ratio.mean()),
                  std::min(sd_unknown, std::hypot(std::sqrt(level.variance), standing.bias_log_sd,
                                                  standing.target_log_sd))};
  standing.prior = {crew.mean, std::sqrt(crew.variance_of_one() + target_variance)};
  standing.level_variance = level.variance;
  standing.unchecked_share = level.unchecked_share;
  pool_with_crew(unbiased_log(level), level.variance, ratio, crew, standing);
  standing.tree_log_sd = spread.log_sd();
  standing.tree_df = spread.df;
  standing.count_log_variance = spread.variance * spread.inflation() + level.mean_open();
  standing.shared_log_sd = std::sqrt(target_variance +
                                     standing.bias_log_sd * standing.bias_log_sd);
  standing.crew_bias_share =
      model.input.bias->of(standing.person).pooled_share * level.unchecked_share;
  fill_signs(spread, standing);
  standing.counts = level.counts;
  standing.counts_before = level.counts_before;
  standing.effective_counts = standing.count_log_variance / level.variance;
  standing.borrowed_counts = standing.count_log_variance / crew.variance_of_one();
  standing.checks = level.checks;
  standing.checks_before = level.checks_before;
  standing.part_counts = level.part_counts;
  standing.looks = level.looks;
  standing.looks_worth = level.looks_precision * standing.count_log_variance;
  standing.segment_start_ms = level.segment_start_ms;
  standing.after_advice = level.after_advice;
  standing.advised = level.advised.direction;
  standing.advised_spurs = level.advised.spurs;
  standing.last_count_ms = level.last_ms;
  standing.last_spurs = level.last_spurs;
  standing.last_surprise = level.last_surprise;
  if (standing.has_target) {
    fill_far_trees(model.input.here->people.at(standing.person), standing);
  }
  fill_answers(model.input.tolerance_fraction, standing);
  return standing;
}

// A new pruner of this crew: the spread between pruners and the crew's own mean.
Standing standing_of_crew(const StandingModel& model) {
  const CrewLevel crew = crew_level(model.levels, model.levels.size());
  Standing standing;
  standing.whose = Whose::crew;
  fill_target(model.input, standing);
  const double target_variance = standing.target_log_sd * standing.target_log_sd;
  const double bias = model.input.bias->crew_log_mean_sd;
  standing.bias_log_sd = bias;
  standing.shared_log_sd = std::sqrt(target_variance + bias * bias);
  standing.log_ratio = {crew.mean, std::sqrt(crew.variance_of_one() + target_variance)};
  standing.prior = standing.log_ratio;
  standing.own = {crew.mean, std::sqrt(crew.mean_variance + target_variance + bias * bias)};
  standing.tree_log_sd = model.spread.log_sd();
  standing.tree_df = model.spread.df;
  standing.count_log_variance = model.spread.variance * model.spread.inflation();
  fill_signs(model.spread, standing);
  for (const Track& level : model.tracks) {
    standing.counts += level.counts;
    standing.counts_before += level.counts_before;
    standing.checks += level.checks;
    standing.checks_before += level.checks_before;
    standing.last_count_ms = std::max(standing.last_count_ms, level.last_ms);
  }
  standing.effective_counts = standing.counts;
  fill_answers(model.input.tolerance_fraction, standing);
  return standing;
}

}  // namespace

// Trees pruned as noted; where nobody noted any, a planned stride for each count.
double trees_pruned_of(const StandingInput& input, const Standing& pruner) {
  const auto found = input.trees_pruned.find(pruner.person);
  if (found != input.trees_pruned.end() && found->second > 0) return found->second;
  return std::max(1, pruner.counts + pruner.counts_before) * input.trees_per_count;
}

namespace {

Standing standing_of_block(const StandingModel& model, const BlockStandings& all) {
  Standing standing = all.crew;
  standing.whose = Whose::block;
  if (all.pruners.empty()) return standing;
  double weights = 0, mean = 0, variance = 0, own_variance = 0, own_bias = 0, own_mean = 0;
  const double target_variance = standing.target_log_sd * standing.target_log_sd;
  for (std::size_t i = 0; i < all.pruners.size(); ++i) {
    const Standing& pruner = all.pruners[i];
    const double w = trees_pruned_of(model.input, pruner);
    const double spurs = w * std::exp(pruner.log_ratio.mean);
    const double own_spurs = w * std::exp(std::clamp(pruner.own.mean, -5.0, 5.0));
    const double sd = pruner.log_ratio.sd;
    weights += w;
    mean += spurs;
    own_mean += own_spurs;
    variance += spurs * spurs * at_least_zero(sd * sd - target_variance);
    own_variance += own_spurs * own_spurs * model.tracks[i].variance;
    own_bias += own_spurs * own_spurs * (model.levels[i].variance - model.tracks[i].variance);
  }
  // What the crew's counting misses on average is shared by all and does not average out. What each
  // person misses does, but over people alone: no further count makes it less.
  const double crew_bias = model.input.bias->crew_log_mean_sd;
  const double shared = target_variance + crew_bias * crew_bias;
  own_bias /= own_mean * own_mean;
  standing.bias_log_sd = std::sqrt(crew_bias * crew_bias + own_bias);
  standing.shared_log_sd = std::sqrt(shared + own_bias);
  standing.log_ratio = {std::log(mean / weights), std::sqrt(variance / (mean * mean) + shared)};
  standing.own = {std::log(own_mean / weights),
                  std::min(sd_unknown, std::sqrt(own_variance / (own_mean * own_mean) + own_bias +
                                                 shared))};
  fill_answers(model.input.tolerance_fraction, standing);
  return standing;
}

}  // namespace

std::vector<LevelStep> level_steps_in(const StandingInput& input, const std::string& person) {
  std::vector<LevelStep> steps;
  const auto found = input.here->people.find(person);
  if (found == input.here->people.end() || found->second.counts.empty()) return steps;
  const double bias = input.bias->of(person).log_mean;
  const double limb_variance = limb_sums(input).variance();
  PeopleSums anew;
  const PeopleSums& sums = sums_of_people(input, limb_variance, anew);
  const Spread block = spread_of_block(input, limb_variance, sums);
  const Spread own = person_spread(sums.at(person), block);
  const PersonEvidence seen =
      with_looks(found->second, looks_in(input, block).at(person, std::exp(bias), own));
  track_with_steps(seen, input.here->target_spurs, bias, own, {},
                   known_from_elsewhere(input, person), steps);
  return steps;
}

BlockStandings standings_in(const StandingModel& model) {
  BlockStandings all;
  all.known = true;
  all.block = model.input.here->block;
  for (std::size_t i = 0; i < model.people.size(); ++i) {
    all.pruners.push_back(standing_of_pruner(model, i));
  }
  all.crew = standing_of_crew(model);
  all.block_standing = standing_of_block(model, all);
  all.crew_bias_log_sd = model.input.bias->crew_log_mean_sd;
  return all;
}

BlockStandings model_standings(const StandingInput& input) {
  return standings_in(follow_people(input));
}

namespace {

// A person without a count here, out of the crew's standing.
Standing standing_of_newcomer(const StandingModel& model, const std::string& person) {
  Standing standing = standing_of_crew(model);
  standing.whose = Whose::pruner;
  standing.person = person;
  standing.counts = standing.counts_before = standing.checks = standing.checks_before = 0;
  standing.effective_counts = 0;
  standing.last_count_ms = 0;
  const Counter counter = model.input.bias->of(person);
  const TrackStart start = known_from_elsewhere(model.input, person);
  const double target_variance = standing.target_log_sd * standing.target_log_sd;
  standing.bias_log_sd = counter.log_ratio.likelier().sd();
  standing.shared_log_sd = std::hypot(standing.target_log_sd, standing.bias_log_sd);
  const double own_variance =
      start.variance + standing.bias_log_sd * standing.bias_log_sd;
  standing.own = {start.mean, std::min(sd_unknown, std::sqrt(own_variance + target_variance))};
  const double crew_variance =
      at_least_zero(standing.prior.sd * standing.prior.sd - target_variance);
  standing.level_variance = start.variance;
  pool_with_crew(start.mean, start.variance, counter.log_ratio,
                 {standing.prior.mean, 0, std::max(1e-6, crew_variance)}, standing);
  fill_answers(model.input.tolerance_fraction, standing);
  return standing;
}

}  // namespace

Standing standing_in(const StandingModel& model, const std::string& person) {
  const auto found = std::lower_bound(model.people.begin(), model.people.end(), person);
  if (found == model.people.end() || *found != person) return standing_of_newcomer(model, person);
  return standing_of_pruner(model, static_cast<std::size_t>(found - model.people.begin()));
}

std::map<std::string, double> trees_pruned_by(const ledger::BlockSeason& block,
                                              std::int64_t now_ms) {
  std::map<std::string, double> trees;
  for_current(block.work_spells, now_ms,
              [&](const auto& entry) { trees[entry.author] += entry.body.trees; });
  return trees;
}

}  // namespace nthtree::advice
