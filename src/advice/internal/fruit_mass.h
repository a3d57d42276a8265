// SPDX-License-Identifier: Apache-2.0
//
// Mean mass of a fruit as the block's goal says it, in kg; a middling apple where it says nothing.
// Internal to advice/.
#pragma once

#include "orchard/target.h"

namespace nthtree::advice {

double fruit_kg(const orchard::TargetInput& input);

}  // namespace nthtree::advice
