// SPDX-License-Identifier: Apache-2.0
#include "advice/settings.h"

#include <algorithm>
#include <cmath>

namespace nthtree::advice {
namespace {

// A value that is not a number falls back to the default rather than to an end of the range.
double within(double value, double low, double high, double otherwise) {
  return std::isfinite(value) ? std::clamp(value, low, high) : otherwise;
}

}  // namespace

Settings settings_for(const ledger::Season& season, const ledger::BlockSeason& block) {
  Settings settings;
  const auto& farm = season.farm();
  settings.sureness = within(farm.sureness, 0.8, 0.99, settings.sureness);
  settings.too_many_cost_ratio = within(farm.too_many_cost_ratio, 0.05, 20, 1);
  if (block.block) {
    settings.tolerance_fraction = within(block.block->tolerance_fraction, 0.01, 0.9, 0.15);
    settings.limbs_per_tree = std::max(0, block.block->limbs_per_tree);
    settings.stride = std::max(1, block.block->stride);
    settings.stride_floor = std::max(1, block.block->stride_floor);
  }
  return settings;
}

}  // namespace nthtree::advice
