// SPDX-License-Identifier: Apache-2.0
// How a verdict looks wherever it shows: the same colours and the same sign on cards, in charts
// and on the map. Harder points down (the count must come down), lighter points up.
#pragma once

#include "widgets/painter.h"
#include "widgets/reading.h"

namespace nthtree::widgets {

struct VerdictLook {
  Pair colors;
  Glyph glyph = Glyph::more;
};
VerdictLook verdict_look(const Theme& theme, Verdict verdict);

}  // namespace nthtree::widgets
