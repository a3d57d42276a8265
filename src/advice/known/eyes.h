// SPDX-License-Identifier: Apache-2.0
//
// What an eye is worth: from trees that one person first scored and somebody then counted.
//
// ln(score) = c + g·ln(true spurs) + η. The scale c is anew each morning (an eye's scale comes with
// feedback in minutes and goes as quickly); the slope g and the scatter of η belong to the person,
// drawn towards all eyes of the farm. A count of some limbs has a variance of its own, which is
// taken out of the slope and the scatter (errors in variables; W. A. Fuller, Measurement Error
// Models, 1987, sec. 1.2, from memory), so that `correlation` is the one with the tree itself.
// Before some twenty pairs, of which the farm's other eyes give fifteen at most, or below a
// correlation of 0.7, scores are shown and count for nothing.
//
//   EyeModel eyes(sums_of_all_eyes, tree_variance);
//   if (eyes.of("lead").counts) …
#pragma once

#include <cstdint>
#include <map>
#include <string>

#include "ledger/season.h"
#include "orchard/tree_address.h"

namespace nthtree::advice {

// One look, before it is known what it is worth.
struct ScorePoint {
  std::int64_t at_ms = 0, day = 0;
  std::string eye;     // who looked
  std::string person;  // whose tree
  orchard::TreeAddress tree;
  double log_share = 0;  // ln(score ÷ target)
  int count = -1;        // of that person's counts, the one of this tree; -1: not counted
};

// Moments of pairs about the means of their eye and morning; they add up.
struct EyeSums {
  double pairs = 0, df = 0;
  double scores = 0;   // squares of ln(score)
  double both = 0;     // products with ln(count)
  double counts = 0;   // squares of ln(count)
  double errors = 0;   // of those, what the counts' own variance makes
  void add(const EyeSums& other);
  EyeSums at_most(double df_most) const;  // as if from no more pairs than that
};
using EyeTable = std::map<std::string, EyeSums>;  // by eye

struct Eye {
  double pairs = 0, pairs_borrowed = 0;
  double slope = 1, slope_sd = 0.3;
  double scatter = 0.04;     // variance of η
  double correlation = 0;    // with the true number, at the block's spread
  bool counts = false;       // whether scores are evidence
  // Of ln(score) ÷ slope about the tree's own ln: the variance of a look as a measure of its tree.
  double noise() const { return scatter / (slope * slope); }
};

inline constexpr double eye_pairs_needed = 20, eye_pairs_borrowed_most = 15;
inline constexpr double eye_correlation_needed = 0.70;

class EyeModel {
 public:
  EyeModel() = default;
  // tree_variance: from tree to tree, relative.
  EyeModel(EyeTable sums, double tree_variance);
  // Somebody without a pair gets what the farm's eyes say.
  Eye of(const std::string& eye) const;
  // Of everybody with a pair, by person.
  const std::map<std::string, Eye>& eyes() const { return eyes_; }

 private:
  Eye learn(const EyeSums& own, const EyeSums& others) const;
  EyeSums lent_to(const std::string& eye) const;  // what the others' pairs say of a new one

  EyeTable sums_, lent_;
  std::map<std::string, Eye> eyes_;  // of everybody with a pair
  double tree_variance_ = 0.0841;
};

// Of a person in a block, learnt on the whole farm; what is usual where there is no such block.
Eye eye_of(const ledger::Season& season, const std::string& block, const std::string& person,
           std::int64_t now_ms);

}  // namespace nthtree::advice
