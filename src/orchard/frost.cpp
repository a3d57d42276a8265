// SPDX-License-Identifier: Apache-2.0
#include "orchard/frost.h"

#include <algorithm>
#include <array>

namespace nthtree::orchard {
namespace {

// Stage names to BBCH codes: customary mapping (from memory).
constexpr std::array<FrostStage, 8> stages = {{
    {"silver_tip", 51, 15, 2},
    {"green_tip", 53, 18, 10},
    {"half_inch_green", 54, 23, 15},
    {"tight_cluster", 55, 27, 21},
    {"first_pink", 57, 28, 24},
    {"full_pink", 59, 28, 25},
    {"full_bloom", 60, 28, 25},
    {"post_bloom", 67, 28, 25},
}};

}  // namespace

std::span<const FrostStage> frost_stages() { return stages; }

double share_killed(const FrostStage& stage, double low_c) {
  const double low_f = low_c * 1.8 + 32;
  const double steps = (stage.kill_10_f - low_f) / (stage.kill_10_f - stage.kill_90_f);
  return std::clamp(0.1 + 0.8 * steps, 0.0, 1.0);
}

double share_alive(std::span<const double> shares_killed) {
  double alive = 1;
  for (const double killed : shares_killed) alive *= 1 - killed;
  return alive;
}

}  // namespace nthtree::orchard
