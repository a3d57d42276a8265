// SPDX-License-Identifier: Apache-2.0
//
// How one count of a person spreads about their level, as it was known on the morning of its day:
// what a drift chart is drawn with. Later counts alter nothing of it, so a flag that was raised is
// not taken down, and raised once more, by what others counted since. From tags alone: a re-counted
// tree would have another miss in it than its neighbours. Internal to advice/.
//
//   const std::vector<double> sds = SpreadByDay(context.input()).in_runs("p3", evidence);
//   chart.set_spread(sds[i]);
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "advice/internal/evidence.h"
#include "advice/internal/standing_model.h"

namespace nthtree::advice {

class SpreadByDay {
 public:
  explicit SpreadByDay(const StandingInput& input);

  // Standard deviation of each count of a person, relative to the level, as a run of them shows it:
  // trees, limbs left out, and what counts of one row, or of one day, have in common (design
  // effect, L. Kish, Survey Sampling, 1965).
  std::vector<double> in_runs(const std::string& person, const PersonEvidence& evidence) const;

 private:
  using Days = std::map<std::int64_t, SpreadSums>;  // of the days up to and with that one
  // As known from the days before.
  Spread known(const std::string& person, std::int64_t day) const;

  SpreadSums before_;  // other blocks, unpruned trees
  double limb_variance_ = 0;
  Days block_;
  std::map<std::string, Days> people_;
};

}  // namespace nthtree::advice
