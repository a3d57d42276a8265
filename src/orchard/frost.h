// SPDX-License-Identifier: Apache-2.0
//
// What a cold night does to apple buds: the share killed, by growth stage and lowest temperature.
//
// Critical temperatures are those that kill 10 and 90 % of the buds in half an hour (Washington
// State University, as printed by the extension services of Michigan and Pennsylvania); between
// them the share is taken as linear, beyond them it stays at that line's ends, 0 and 1. What
// several nights leave multiplies (R. L. Snyder and J. P. de Melo-Abreu, FAO Environment and
// Natural Resources paper 10, 2005). Does not model how long, how wet or how hardened: a guide to
// where buds should be cut and looked at, never a verdict on them.
//
//   double killed = share_killed(frost_stages()[4], -3.33);   // first pink: 0.50
#pragma once

#include <span>

namespace nthtree::orchard {

struct FrostStage {
  const char* name;  // snake_case, a language key's last part
  int bbch;          // the first BBCH code of pome fruit that it stands for
  double kill_10_f;  // °F that kill a tenth of the buds in half an hour
  double kill_90_f;  // and nine in ten
};

// Silver tip to after bloom, in order of bbch.
std::span<const FrostStage> frost_stages();

// Share of the buds killed by half an hour at low_c (°C), 0 to 1.
double share_killed(const FrostStage& stage, double low_c);

// Share alive after nights that killed these shares of what was then alive.
double share_alive(std::span<const double> shares_killed);

}  // namespace nthtree::orchard
