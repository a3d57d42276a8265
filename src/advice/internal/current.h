// SPDX-License-Identifier: Apache-2.0
//
// What stood in a block at a moment: entries not withdrawn and not later than now. Internal to
// advice/, where every function takes now_ms so that a past evening can be shown again.
//
//   for_current(block.tag_counts, now_ms, [&](const auto& entry) { … });
#pragma once

#include <cmath>
#include <cstdint>
#include <limits>

#include "ledger/current.h"
#include "ledger/season.h"
#include "orchard/target.h"

namespace nthtree::advice {

inline constexpr std::int64_t always = std::numeric_limits<std::int64_t>::max();
inline constexpr double z_90 = 1.6448536269514722;  // two-sided 90 %, or one-sided 95 %

template <typename T, typename Visit>
void for_current(const ledger::Entries<T>& entries, std::int64_t now_ms, Visit visit) {
  for (const auto& entry : ledger::current(entries)) {
    if (entry.at_ms() > now_ms) break;  // entries are in the order of the fold
    visit(entry);
  }
}

// ln of a count; a tree of none counts as half a spur, because nothing has no logarithm.
inline double log_count(double spurs) { return std::log(spurs > 0.5 ? spurs : 0.5); }

// A tree as one number, for maps: rows and trees stay below 2^20.
inline std::int64_t tree_key(const orchard::TreeAddress& tree) {
  return static_cast<std::int64_t>(tree.row) * (1 << 20) + tree.tree;
}

// 90 % interval of a log-normal estimate around `scale`.
inline orchard::Estimate log_estimate(double log_mean, double log_sd, double scale = 1,
                                      double z = z_90) {
  return {scale * std::exp(log_mean), scale * std::exp(log_mean - z * log_sd),
          scale * std::exp(log_mean + z * log_sd)};
}

inline double squared(double x) { return x * x; }
inline double at_least_zero(double x) { return x > 0 ? x : 0; }

}  // namespace nthtree::advice
