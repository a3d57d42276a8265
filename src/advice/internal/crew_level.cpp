// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/crew_level.h"

namespace nthtree::advice {
namespace {

constexpr int rounds = 8;

}  // namespace

CrewLevel crew_level(const std::vector<KnownLevel>& levels, std::size_t left_out) {
  CrewLevel crew;
  for (int round = 0; round < rounds; ++round) {
    crew.between_before = crew.between;
    double precision = 1 / crew_prior_variance;
    double sum = crew_prior_mean * precision;
    for (std::size_t i = 0; i < levels.size(); ++i) {
      if (i == left_out || levels[i].variance > unknown_variance) continue;
      const double weight = 1 / (crew.between + levels[i].variance);
      precision += weight;
      sum += weight * levels[i].mean;
    }
    crew.mean = sum / precision;
    crew.mean_variance = 1 / precision;
    double squares = crew_prior_weight * crew_prior_between;
    double weight = crew_prior_weight;
    for (std::size_t i = 0; i < levels.size(); ++i) {
      if (i == left_out || levels[i].variance > unknown_variance) continue;
      const double kept = crew.between / (crew.between + levels[i].variance);
      const double gap = kept * (levels[i].mean - crew.mean);
      squares += gap * gap + kept * levels[i].variance;
      weight += 1;
    }
    crew.between = squares / weight;
  }
  return crew;
}

}  // namespace nthtree::advice
