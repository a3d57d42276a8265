// SPDX-License-Identifier: Apache-2.0
#include "advice/known/eyes.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "advice/internal/context.h"
#include "advice/internal/standing_model.h"

namespace nthtree::advice {
namespace {

// Before any pair: people see about nine tenths of how trees differ and scatter by a quarter
// (common practice, no source; r² above 0.7 is usual for estimates of pasture by eye, Campbell and
// Arnold, abstract read), as if from eight pairs.
constexpr double eye_prior_df = 8, eye_prior_slope = 0.9, eye_prior_scatter = 0.0625;
constexpr double least_slope = 0.3;

}  // namespace

void EyeSums::add(const EyeSums& other) {
  pairs += other.pairs;
  df += other.df;
  scores += other.scores;
  both += other.both;
  counts += other.counts;
  errors += other.errors;
}

EyeSums EyeSums::at_most(double df_most) const {
  if (df <= df_most) return *this;
  const double kept = df_most / df;
  return {kept * pairs, df_most, kept * scores, kept * both, kept * counts, kept * errors};
}

EyeModel::EyeModel(EyeTable sums, double tree_variance)
    : sums_(std::move(sums)), tree_variance_(tree_variance) {
  for (const auto& [eye, own] : sums_) {
    // An eye known to be poor says nothing of others, and nobody speaks for all by scoring most.
    const bool poor = own.pairs >= eye_pairs_needed &&
                      learn(own, {}).correlation < eye_correlation_needed;
    if (!poor) lent_[eye] = own.at_most(eye_pairs_borrowed_most);
  }
  for (const auto& [eye, own] : sums_) eyes_[eye] = learn(own, lent_to(eye));
}

Eye EyeModel::of(const std::string& name) const {
  const auto found = eyes_.find(name);
  return found != eyes_.end() ? found->second : learn({}, lent_to(name));
}

EyeSums EyeModel::lent_to(const std::string& name) const {
  EyeSums others;
  for (const auto& [eye, sums] : lent_) {
    if (eye != name) others.add(sums);
  }
  return others.at_most(eye_pairs_borrowed_most);
}

Eye EyeModel::learn(const EyeSums& own, const EyeSums& others) const {
  Eye eye;
  eye.pairs = own.pairs;
  eye.pairs_borrowed = std::min(others.pairs, eye_pairs_borrowed_most);
  EyeSums sums = own;
  sums.add(others);
  const double trees = std::max(sums.counts - sums.errors, 0.0) + eye_prior_df * tree_variance_;
  eye.slope = std::max(
      least_slope, (sums.both + eye_prior_df * tree_variance_ * eye_prior_slope) / trees);
  // Squares of ln(score) - g·ln(count), less what the counts' own variance puts there.
  const double left = sums.scores - 2 * eye.slope * sums.both +
                      eye.slope * eye.slope * (sums.counts - sums.errors);
  eye.scatter = (eye_prior_df * eye_prior_scatter + std::max(left, 0.0)) / (eye_prior_df + sums.df);
  const double error = sums.df > 0 ? sums.errors / sums.df : 0;
  eye.slope_sd = std::sqrt((eye.scatter + eye.slope * eye.slope * error) / trees);
  const double seen = eye.slope * eye.slope * tree_variance_;
  eye.correlation = std::sqrt(seen / (seen + eye.scatter));
  eye.counts = eye.pairs + eye.pairs_borrowed >= eye_pairs_needed &&
               eye.correlation >= eye_correlation_needed;
  return eye;
}

Eye eye_of(const ledger::Season& season, const std::string& block, const std::string& person,
           std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found) return EyeModel().of(person);
  const BlockContext context = make_context(season, *found, now_ms, cut_for(season, now_ms));
  return context.model.eyes.of(person);
}

}  // namespace nthtree::advice
