// SPDX-License-Identifier: Apache-2.0
#include "simulation/phones/check.h"

namespace nthtree::simulation {

Failures check(const World& world) {
  Failures failures;
  for (const auto checker : {check_drained, check_equal, check_lost, check_doubled, check_seasons,
                             check_keys, check_order, check_set_aside, check_backup, check_promises,
                             check_traffic, check_trust}) {
    checker(world, failures);
  }
  return failures;
}

}  // namespace nthtree::simulation
