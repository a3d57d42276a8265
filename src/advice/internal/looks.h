// SPDX-License-Identifier: Apache-2.0
//
// From scores to evidence: what one morning's looks at one pruner's trees add to their counts, as
// one observation with a value and a variance. Internal to advice/.
//
// A look reads its tree as ln(score) ÷ g = c + ln(tree) + noise N. Of a pruner's trees some were
// counted too (variance B from tree to tree, E of the limbs left out), the others only seen. The
// pruner's level and the morning's scale c are estimated together by generalised least squares,
// with what the same eye said of other pruners' counted trees as prior of c, and c is then
// integrated out. With no such prior this is the regression estimator of double sampling, of
// variance (B (1 - ρ²) + E)/n + ρ² B/n' (Cochran, Sampling Techniques, 3rd ed. 1977, sec. 12.6;
// D. Brus, Spatial Sampling with R, eq. 11.6); with one it is the lead's walk. As the counts stand
// in the level already, the observation given back holds only what the looks add to them.
//
//   const Looks looks(here, bias, limb_variance, eyes);
//   for (const CountPoint& look : looks.at("p3", factor, spread)) …
#pragma once

#include <map>
#include <string>
#include <utility>
#include <vector>

#include "advice/internal/evidence.h"
#include "advice/known/counting_bias.h"
#include "advice/known/eyes.h"

namespace nthtree::advice {

// Moments of the block's pairs for EyeModel.
EyeTable eye_sums(const BlockEvidence& block, const CountingBias& bias, double limb_variance);

// What an eye's pairs of one morning say of its scale, by whose trees they were.
struct Morning {
  struct Part {
    double weight = 0, scale = 0;  // Σ 1/variance; of the differences, weighted
    double centre = 0;             // of the trees' ln share, weighted: where the eye was calibrated
  };
  std::map<std::string, Part> by_person;
  Part all_but(const std::string& person) const;
};

// A block's looks. Keeps a reference to the block.
class Looks {
 public:
  Looks(const BlockEvidence& block, const CountingBias& bias, double limb_variance, EyeModel eyes);

  // Observations for one person, in time order; CountPoint::is_look() holds for each. bias_factor
  // as for CountPoint::share.
  std::vector<CountPoint> at(const std::string& person, double bias_factor,
                             const Spread& spread) const;
  const EyeModel& eyes() const { return eyes_; }
  bool none() const { return block_.scores.empty(); }

 private:
  const BlockEvidence& block_;
  double limb_variance_;
  EyeModel eyes_;
  std::map<std::pair<std::string, std::int64_t>, Morning> mornings_;  // by eye and day
  std::map<std::string, std::vector<const ScorePoint*>> by_person_;   // of eyes that count
};

}  // namespace nthtree::advice
