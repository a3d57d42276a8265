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

// The bytes of both; ".first": with the letters of the languages alone.
inline std::pair<std::string, std::string> face_bytes(const std::string& part = "") {
  std::pair<std::string, std::string> faces;
  widgets::read_fonts(face_file("DejaVuSansCondensed" + part),
                      face_file("DejaVuSansCondensed-Bold" + part), faces.first, faces.second);
  return faces;
}

// Not yet built for any density; the caller's own, until the program ends.
inline widgets::Fonts& new_typefaces(const std::string& part = "") {
  auto [regular, bold] = face_bytes(part);
  return *new widgets::Fonts(std::move(regular), std::move(bold));
}

}  // namespace nthtree::test
