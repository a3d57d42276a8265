// SPDX-License-Identifier: Apache-2.0
//
// The choice of language, each language in its own name; on the first screen and in the settings.
#pragma once

#include "screens/parts/frame.h"

namespace nthtree::screens {

void choose_language_here(Frame& frame);

}  // namespace nthtree::screens
