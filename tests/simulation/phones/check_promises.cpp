// SPDX-License-Identifier: Apache-2.0
#include "simulation/phones/check.h"

namespace nthtree::simulation {

void check_promises(const World& world, Failures& failures) {
  for (const std::string& bytes : world.promises_broken) {
    failures.push_back("promises: acknowledged before it was on the hub's disk: " + bytes);
  }
}

}  // namespace nthtree::simulation
