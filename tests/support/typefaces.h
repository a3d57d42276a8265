// SPDX-License-Identifier: Apache-2.0
//
// The app's two faces, read from the project.
//
//   Fonts& fonts() { static Fonts& own = test::new_typefaces(); return own; }
#pragma once

#include <string>
#include <utility>

#include "support/places.h"
#include "widgets/headless.h"

namespace nthtree::test {

// Not yet built for any density; the caller's own, until the program ends.
inline widgets::Fonts& new_typefaces() {
  std::string regular, bold;
  widgets::read_fonts(face_file("DejaVuSansCondensed"), face_file("DejaVuSansCondensed-Bold"),
                      regular, bold);
  return *new widgets::Fonts(std::move(regular), std::move(bold));
}

}  // namespace nthtree::test
