// SPDX-License-Identifier: Apache-2.0
#include "orchard/limb_draw.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/random.h"
#include "orchard/limits.h"

namespace nthtree::orchard {

int LimbDraw::drawn() const {
  if (start < 1 || step < 1 || start > limbs) return 0;
  return (limbs - start) / step + 1;
}

base::Status check_limb_draw(const LimbDraw& draw) {
  if (auto bad = refuse_outside(draw.limbs, limits::limbs_numbered, "limbs_in_tree")) return *bad;
  const double limbs = draw.limbs;
  if (auto bad = refuse_outside(draw.step, {1, limbs}, "step")) return *bad;
  if (auto bad = refuse_outside(draw.start, {1, static_cast<double>(draw.step)}, "start")) {
    return *bad;
  }
  return base::Ok{};
}

LimbDraw draw_limbs(int limbs, int wanted, std::uint64_t seed) {
  const double apart = static_cast<double>(limbs) / std::max(1, wanted);
  const int step = std::clamp(static_cast<int>(std::lround(apart)), 1, std::max(1, limbs));
  base::Random random(seed);
  const double place = random.uniform();  // of the step, should the limbs be numbered again
  return {limbs, 1 + static_cast<int>(place * step), step};
}

std::uint64_t seed_of_tree(std::uint64_t block_seed, const TreeAddress& tree) {
  const auto place = static_cast<std::uint64_t>(tree.row) * 8192 +
                     static_cast<std::uint64_t>(tree.tree);
  return block_seed ^ (place * 0x9e3779b97f4a7c15u);
}

double tree_of_limbs(const std::vector<int>& counted, int limbs_in_tree) {
  if (counted.empty()) return 0;
  const double sum = std::accumulate(counted.begin(), counted.end(), 0.0);
  return limbs_in_tree * sum / static_cast<double>(counted.size());
}

}  // namespace nthtree::orchard
