// SPDX-License-Identifier: Apache-2.0
//
// What a block's numbers come to while they are typed: the target, and what it means for the trees.
//
// Private to this folder.
#pragma once

#include <optional>

#include "advice/known/planting.h"
#include "orchard/target.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {

// The block as it is being typed, with what is known not to bear. The block outlives it.
advice::Planting planting_now(Frame& frame, const orchard::Block& block);
// The target of a block as it stands on the screen, with the floral fraction of the buds cut open
// where there are any; empty while something is missing.
std::optional<orchard::Target> target_now(Frame& frame, const orchard::Block& block);

void consequences(Frame& frame, const orchard::Block& block,
                  const std::optional<orchard::Target>& target);

}  // namespace nthtree::screens
