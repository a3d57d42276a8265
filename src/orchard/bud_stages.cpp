// SPDX-License-Identifier: Apache-2.0
#include "orchard/bud_stages.h"

namespace nthtree::orchard {

std::span<const BudStage> bud_stages() {
  // Bloom: after the last pink, before the first petal falls.
  static constexpr BudStage stages[] = {{"green_tip", 53, 100, 120}, {"bloom", 65, 316, 439}};
  return stages;
}

}  // namespace nthtree::orchard
