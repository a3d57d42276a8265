// SPDX-License-Identifier: Apache-2.0
// How a verdict looks wherever it shows: the same colours and the same sign on cards, in charts
// and on the map. The sign shows where the number lies against the band, never where it should go:
// an arrow up beside "too few" was read as "too high".
#pragma once

#include "widgets/painter.h"
#include "widgets/reading.h"

namespace nthtree::widgets {

struct VerdictLook {
  Pair colors;
  Glyph glyph = Glyph::more;
};
VerdictLook verdict_look(const Theme& theme, VerdictSign verdict);

}  // namespace nthtree::widgets
