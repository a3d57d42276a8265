// SPDX-License-Identifier: Apache-2.0
#include "part_work.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace nthtree::scenario {
namespace {

// Limbs of one tree differ by half their mean: a third of the variance because they shrink upwards, a
// third by chance, the rest because a limb's dozen spurs come in whole numbers (19 real trees,
// scenarios/apple_limbs).
constexpr double trend = 0.5, chance_variance = 0.08;
constexpr double seconds_to_settle = 50, seconds_a_limb = 15;
constexpr double slope_mean = 0.85, slope_sd = 0.08, morning_sd = 0.15;
constexpr double usual_spurs = 250;

}  // namespace

ledger::LimbCounts PartWork::count_limbs(double truth, double seen, int wanted,
                                         std::uint64_t seed) {
  const int limbs = 16 + static_cast<int>(random_.below(9));
  std::vector<double> weights;
  double sum = 0;
  for (int j = 0; j < limbs; ++j) {
    const double place = 1 + trend * (1 - (2 * j + 1.0) / limbs);
    weights.push_back(place * random_.gamma(1 / chance_variance) * chance_variance);
    sum += weights.back();
  }
  ledger::LimbCounts counted;
  counted.draw = orchard::draw_limbs(limbs, wanted, seed);
  for (int i = 0; i < counted.draw.drawn(); ++i) {
    const double share = weights[static_cast<std::size_t>(counted.draw.limb(i) - 1)] / sum;
    counted.limbs.push_back(static_cast<int>(random_.poisson(truth * share * seen)));
  }
  const double usual = seconds_to_settle + seconds_a_limb * counted.draw.drawn();
  counted.seconds = static_cast<int>(usual * (0.8 + 0.4 * random_.uniform()));
  return counted;
}

int PartWork::score(const std::string& person, int day, double truth, double scatter) {
  const auto [slope, is_new] = slopes_.try_emplace(person, slope_mean);
  if (is_new) slope->second += slope_sd * random_.normal();
  const auto [morning, first] = mornings_.try_emplace({person, day}, 0.0);
  if (first) morning->second = morning_sd * random_.normal();
  const double log_score = morning->second +
                           slope->second * std::log(std::max(1.0, truth) / usual_spurs) +
                           scatter * random_.normal();
  const double spurs = usual_spurs * std::exp(log_score);
  return std::clamp(5 * static_cast<int>(std::lround(spurs / 5)), 5, 4900);
}

}  // namespace nthtree::scenario
