// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/this_tree.h"

#include <algorithm>
#include <cmath>

#include "advice/internal/current.h"
#include "advice/internal/unpruned.h"
#include "advice/known/block_target.h"
#include "advice/settings.h"

namespace nthtree::advice {
namespace {

int as_told(double spurs) {
  const double whole = std::fabs(spurs);
  const double step = whole >= 20 ? 5 : 1;
  return static_cast<int>(std::max(1.0, step * std::round(whole / step)));
}

// Under a target that an unpruned tree would not reach: short of that tree, if of anything.
TreeAdvice where_all_stays(TreeAdvice advice, const Settings& settings, int counted,
                           double unpruned) {
  advice.over = -at_least_zero(std::round(unpruned) - counted);
  advice.reason = all_stays_reason(unpruned, advice.target);
  advice.action = TreeAction::walk_on;
  if (counted >= unpruned * (1 - settings.tolerance_fraction)) return advice;
  advice.action = TreeAction::leave_as_it_is;
  advice.spurs = as_told(advice.over);
  advice.hands = hand_terms(-advice.spurs, settings.limbs_per_tree, counted);
  return advice;
}

}  // namespace

TreeBand tree_band(double target, double tolerance_fraction) {
  const auto whole = [](double spurs) { return static_cast<int>(std::lround(spurs)); };
  return {whole(target * (1 - tolerance_fraction)), whole(target),
          whole(target * (1 + tolerance_fraction))};
}

TreeAdvice this_tree_with(const orchard::Target& target, const Settings& settings, int spurs,
                          double size_factor, double unpruned_spurs) {
  const int counted = std::max(0, spurs);
  TreeAdvice advice;
  advice.target = size_factor * target.spurs_to_leave_per_tree.value;
  const TreeBand band = tree_band(advice.target, settings.tolerance_fraction);
  advice.over = counted - band.target;
  advice.over_fraction = advice.over / advice.target;
  const double unpruned = size_factor * unpruned_spurs;
  const bool all_stays = unpruned > 0 && unpruned < advice.target;
  advice.far_off = is_far_off(counted / (all_stays ? unpruned : advice.target));
  if (all_stays && advice.over < 0) return where_all_stays(advice, settings, counted, unpruned);
  if (band.holds(counted)) {
    advice.action = TreeAction::walk_on;
    advice.reason = {"tree_fine", {{"over", advice.over}, {"target", advice.target}}};
    return advice;
  }
  advice.spurs = as_told(advice.over);
  if (advice.over > 0) {
    advice.action = TreeAction::take_more;
    advice.hands = hand_terms(advice.spurs, settings.limbs_per_tree, counted);
    advice.reason = {"tree_take_more", {{"over", advice.over},
                                        {"spurs", static_cast<double>(advice.spurs)},
                                        {"target", advice.target}}};
  } else {
    advice.action = TreeAction::leave_as_it_is;
    advice.hands = hand_terms(-advice.spurs, settings.limbs_per_tree, counted);
    advice.reason = {"tree_short", {{"short", -advice.over}, {"target", advice.target}}};
  }
  return advice;
}

TreeAdvice this_tree(const ledger::Season& season, const std::string& block, int spurs) {
  TreeAdvice advice;
  advice.reason = {"no_target", {}};
  const ledger::BlockSeason* found = season.block(block);
  if (!found) return advice;
  const auto target = block_target(*found);
  if (!target || !(target->target.spurs_to_leave_per_tree.value > 0)) return advice;
  return this_tree_with(target->target, settings_for(season, *found), spurs, 1,
                        unpruned_trees(*found, always).spurs.value);
}

}  // namespace nthtree::advice
