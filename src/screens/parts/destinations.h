// SPDX-License-Identifier: Apache-2.0
//
// The destinations of the app that stand at the side of an office's screen, by what the person
// does: the same screens that a phone's menu leads to, one tap away from everywhere.
//
// Private to this folder.
#pragma once

#include <string_view>
#include <vector>

#include "screens/parts/frame.h"

namespace nthtree::screens {

// Empty for pruners, and where leaving would interrupt (a count, joining).
std::vector<widgets::Destination> destinations_of(const Frame& frame);

// Where that place leads.
Stop destination_stop(std::string_view id);

}  // namespace nthtree::screens
