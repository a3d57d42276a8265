// SPDX-License-Identifier: Apache-2.0
//
// Trees of different size: what a tap (weak, middling, strong) explains of how counted trees
// differ, and how the number to leave scales by class, the block's mean unchanged. A tree is then
// judged by its own number. Asked for only where the block's own counts show that it pays.
//
// Factors are the classes' mean shares of their pruner's own day, drawn towards 1 as if from four
// trees and set so that the counted trees' mean is 1. Whether it pays: the F of a one-way analysis
// at 1 in 20 and a fifth of the variance, adjusted for the classes (S. R. Searle, Linear Models,
// 1971, ch. 6, from memory); the two limits are ours.
//
//   SizeClasses sizes = size_classes(block, now_ms);
//   double leave = target * sizes.factor_of(ledger::SizeClass::strong);
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <optional>

#include "ledger/season.h"

namespace nthtree::advice {

struct SizeClasses {
  std::array<double, 3> factor{1, 1, 1};  // 1 unless it pays
  std::array<int, 3> trees{};             // counted and tapped
  double explained = 0;                   // of the variance, adjusted; 0 where it is not known
  bool pays = false;
  std::map<std::int64_t, ledger::SizeClass> of_tree;  // by tree_key, the latest tap

  double factor_of(ledger::SizeClass size) const {
    return factor[static_cast<std::size_t>(size)];
  }
  // Of a tree nobody tapped: 1.
  double factor_at(const orchard::TreeAddress& tree) const;
};

enum class SizeAsk {
  no,       // trees are alike, or their classes tell nothing
  on_trial, // trees differ much: some twenty taps will tell whether it pays
  yes,      // it pays
};
inline constexpr int size_trial_trees = 20;

SizeClasses size_classes(const ledger::BlockSeason& block, std::int64_t now_ms);
// tree_cv from tree to tree as known (Spread), counts behind it.
SizeAsk ask_for_size(const SizeClasses& sizes, double tree_cv, int counts);

// Whether a block asks, and with what its number to leave is multiplied for each class: 1 unless it
// pays. Nobody is asked where the block is not known.
struct SizeOffer {
  SizeAsk ask = SizeAsk::no;
  std::array<double, 3> factor{1, 1, 1};
};
SizeOffer size_offer(const ledger::Season& season, const std::string& block, std::int64_t now_ms);

}  // namespace nthtree::advice
