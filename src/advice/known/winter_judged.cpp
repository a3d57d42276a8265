// SPDX-License-Identifier: Apache-2.0
#include "advice/known/winter_judged.h"

#include <cmath>

#include "advice/internal/current.h"
#include "advice/known/block_target.h"
#include "advice/known/floral.h"

namespace nthtree::advice {
namespace {

constexpr double told_apart_z = 1.96;

double standard_error(const orchard::Estimate& share) {
  return (share.high - share.low) / (2 * z_90);
}

}  // namespace

WinterJudged winter_judged(const ledger::BlockSeason& block) {
  WinterJudged judged;
  const FloralFraction buds = floral_fraction(block);
  const SecondPass pass = second_pass(block);
  const bool has_seen = pass.trees > 0 && pass.floral_fraction.high > pass.floral_fraction.low;
  if (!buds.known || !has_seen) return judged;
  judged.promised = buds.fraction;
  judged.seen = pass.floral_fraction;
  const double error = std::hypot(standard_error(judged.promised), standard_error(judged.seen));
  judged.z = error > 0 ? (judged.promised.value - judged.seen.value) / error : 0;
  judged.what = judged.z > told_apart_z    ? WinterWas::too_high
                : judged.z < -told_apart_z ? WinterWas::too_low
                                           : WinterWas::right;
  return judged;
}

}  // namespace nthtree::advice
