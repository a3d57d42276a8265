// SPDX-License-Identifier: Apache-2.0
//
// The crew's brief as sentences, for the screen and the paper. The first is the one that matters.
#pragma once

#include <string>
#include <vector>

#include "screens/parts/frame.h"

namespace nthtree::screens {

// What there is to say where there is no target: that there is none.
std::vector<std::string> brief_lines(Frame& frame, const advice::Brief& brief);

}  // namespace nthtree::screens
