// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/this_tree.h"

#include <algorithm>
#include <cmath>

#include "advice/known/block_target.h"
#include "advice/internal/context.h"
#include "advice/known/counting_bias.h"
#include "advice/settings.h"

namespace nthtree::advice {
namespace {

constexpr double far_off_fraction = 0.5;

int as_told(double spurs) {
  const double whole = std::fabs(spurs);
  const double step = whole >= 20 ? 5 : 1;
  return static_cast<int>(std::max(1.0, step * std::round(whole / step)));
}

}  // namespace

TreeAdvice this_tree_with(const CountingBias& bias, const orchard::Target& target,
                          const Settings& settings, const std::string& person, int spurs) {
  TreeAdvice advice;
  advice.target = target.spurs_to_leave_per_tree.value;
  advice.spurs_true = std::max(0, spurs) * std::exp(bias.of(person).log_mean);
  advice.over = advice.spurs_true - advice.target;
  advice.over_fraction = advice.target > 0 ? advice.over / advice.target : 0;
  const double off = std::fabs(advice.over_fraction);
  advice.far_off = off >= far_off_fraction;
  if (off <= settings.tolerance_fraction) {
    advice.action = TreeAction::walk_on;
    advice.reason = {"tree_fine", {{"over", std::round(advice.over)}, {"target", advice.target}}};
    return advice;
  }
  advice.spurs = as_told(advice.over);
  if (advice.over > 0) {
    advice.action = TreeAction::take_more;
    advice.hands = hand_terms(advice.spurs, settings.limbs_per_tree, advice.spurs_true);
    advice.reason = {"tree_take_more", {{"over", std::round(advice.over)},
                                        {"spurs", static_cast<double>(advice.spurs)},
                                        {"target", advice.target}}};
  } else {
    advice.action = TreeAction::leave_as_it_is;
    advice.hands = hand_terms(-advice.spurs, settings.limbs_per_tree, advice.spurs_true);
    advice.reason = {"tree_short", {{"short", std::round(-advice.over)},
                                    {"target", advice.target}}};
  }
  return advice;
}

TreeAdvice this_tree(const ledger::Season& season, const std::string& block,
                     const std::string& person, int spurs, std::int64_t now_ms) {
  TreeAdvice advice;
  advice.reason = {"no_target", {}};
  advice.spurs_true = std::max(0, spurs);
  const ledger::BlockSeason* found = season.block(block);
  if (!found) return advice;
  const auto target = block_target(*found);
  if (!target || !(target->target.spurs_to_leave_per_tree.value > 0)) return advice;
  return this_tree_with(counting_bias(season, cut_for(season, now_ms)), target->target,
                        settings_for(season, *found), person, spurs);
}

}  // namespace nthtree::advice
