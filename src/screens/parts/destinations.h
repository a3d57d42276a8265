// SPDX-License-Identifier: Apache-2.0
//
// The destinations of the app, each with its one name and glyph: they stand at the side of an
// office's screen, by what the person does, one tap away from everywhere, and a phone's menus lead
// to them.
//
// Private to this folder.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "screens/parts/frame.h"

namespace nthtree::screens {

// What a row that leads to a destination is called; the screen must be one.
struct NameAndGlyph {
  std::string name;
  Glyph glyph;
};
NameAndGlyph name_and_glyph(ScreenId screen);

// Empty for pruners, and where leaving would interrupt (a count, joining).
std::vector<widgets::Destination> destinations_of(const Frame& frame);

// Where that place leads.
Stop destination_stop(std::string_view id);

}  // namespace nthtree::screens
