// SPDX-License-Identifier: Apache-2.0
#include "support/places.h"

namespace nthtree::test {

std::string in_project(const std::string& path) {
  return std::string(NTHTREE_SOURCE_DIR) + "/" + path;
}

std::string face_file(const std::string& face) {
  return std::string(NTHTREE_FONTS) + "/" + face + ".ttf";
}

}  // namespace nthtree::test
