// SPDX-License-Identifier: Apache-2.0
//
// next_tree.h over a context already worked out. Internal to advice/.
#pragma once

#include <string>

#include "advice/internal/context.h"
#include "advice/next/next_tree.h"
#include "advice/judged/verdict.h"

namespace nthtree::advice {

// Stride, reason and expected trees only; the place is left out.
NextTree stride_for(const BlockContext& context, const Standing& standing,
                    const Verdict& verdict);
NextTree next_tree_in(const BlockContext& context, const std::string& person,
                      orchard::TreeAddress from);

}  // namespace nthtree::advice
